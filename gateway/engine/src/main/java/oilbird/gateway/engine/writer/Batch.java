package oilbird.gateway.engine.writer;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.Standing;
import oilbird.gateway.engine.record.RecordedEvent;
import org.jspecify.annotations.Nullable;

/** What was folded since the last commit. Used by the writer's thread only. */
final class Batch {
    final List<RecordedEvent> events = new ArrayList<>();
    final Map<AlarmId, AlarmState> changed = new LinkedHashMap<>();
    /** Maintenance and point tests as they are now, or null where they have not changed. */
    @Nullable
    Standing standing;

    /** True where a remembered piece must not wait for the next commit. */
    boolean remembersAtOnce;

    final List<Acting> acts = new ArrayList<>();

    void changed(List<AlarmState> states) {
        for (AlarmState state : states) {
            changed.put(state.id(), state);
        }
    }

    boolean nothingToWrite() {
        return events.isEmpty() && changed.isEmpty() && standing == null && !remembersAtOnce;
    }
}
