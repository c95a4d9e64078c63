package oilbird.gateway.engine.writer;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.Standing;
import oilbird.gateway.engine.record.RecordGap;
import oilbird.gateway.engine.record.RecordedEvent;
import org.jspecify.annotations.Nullable;

/** What was announced from memory and still has to reach the disk; bounded. Used by the writer's thread only. */
final class Backlog {
    private final int limit;
    private final ArrayDeque<RecordedEvent> events = new ArrayDeque<>();
    private final Map<AlarmId, AlarmState> changed = new LinkedHashMap<>();
    private @Nullable Standing standing;
    private @Nullable RecordGap gap;

    Backlog(int limit) {
        this.limit = limit;
    }

    /** Adds a batch; gives the oldest events up beyond the limit. */
    void add(Batch batch) {
        events.addAll(batch.events);
        changed.putAll(batch.changed);
        standing = batch.standing == null ? standing : batch.standing;
        while (events.size() > limit) {
            RecordedEvent lost = events.removeFirst();
            gap = gap == null
                    ? new RecordGap(
                            lost.position(),
                            lost.position(),
                            lost.event().id(),
                            lost.event().id())
                    : new RecordGap(
                            gap.from(),
                            lost.position(),
                            gap.first(),
                            lost.event().id());
        }
    }

    int waiting() {
        return events.size();
    }

    /** The events given up since the disk last took the backlog, or null. */
    @Nullable
    RecordGap gap() {
        return gap;
    }

    List<RecordedEvent> events() {
        return new ArrayList<>(events);
    }

    List<AlarmState> changed() {
        return new ArrayList<>(changed.values());
    }

    /** Maintenance and point tests as they are now, or null where they have not changed. */
    @Nullable
    Standing standing() {
        return standing;
    }

    void clear() {
        standing = null;
        events.clear();
        changed.clear();
        gap = null;
    }
}
