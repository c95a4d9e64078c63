package oilbird.gateway.app.wiring;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationView;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.CommittedListener;
import oilbird.gateway.engine.writer.StationWriter;
import oilbird.mapping.signal.Moment;

/**
 * How the station stands now, the newest announced event included. The writer takes a picture at intervals; events
 * that were announced since are laid over it, so that nobody who acts sees the state before the act. Thread-safe.
 */
public final class Present implements CommittedListener {
    private static final StationView NOTHING_YET = new StationView(
            new Moment(0, 0, false), new LinkedHashMap<>(), new LinkedHashMap<>(), new StationView.Flood(false, 0));

    private final StationWriter writer;
    private final Map<AlarmId, StationEvent.OfAlarm> newest = new ConcurrentHashMap<>();
    private volatile long position;

    /**
     * @param position of the newest event at the start.
     */
    Present(StationWriter writer, long position) {
        this.writer = writer;
        this.position = position;
    }

    @Override
    public void committed(List<RecordedEvent> events) {
        for (RecordedEvent event : events) {
            if (event.event() instanceof StationEvent.OfAlarm ofAlarm) {
                newest.put(ofAlarm.event().alarm(), ofAlarm);
            }
            position = event.position();
        }
    }

    /** Position of the newest announced event. */
    public long position() {
        return position;
    }

    /** The writer's newest picture, or an empty one before the first. */
    public StationView committedView() {
        StationView view = writer.view();
        return view == null ? NOTHING_YET : view;
    }

    /** The newest picture with the events since then. */
    public StationView view() {
        StationView view = committedView();
        Map<AlarmId, StationView.AlarmView> changed = new LinkedHashMap<>();
        for (Map.Entry<AlarmId, StationEvent.OfAlarm> entry : newest.entrySet()) {
            StationView.AlarmView atLeast = Forms.atLeast(view, entry.getValue());
            if (atLeast == null || atLeast == view.alarms().get(entry.getKey())) {
                newest.remove(entry.getKey(), entry.getValue());
            } else {
                changed.put(entry.getKey(), atLeast);
            }
        }
        if (changed.isEmpty()) {
            return view;
        }
        Map<AlarmId, StationView.AlarmView> alarms = new LinkedHashMap<>(view.alarms());
        changed.forEach(alarms::replace);
        return view.withAlarms(alarms);
    }
}
