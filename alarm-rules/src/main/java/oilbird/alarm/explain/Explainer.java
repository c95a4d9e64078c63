package oilbird.alarm.explain;

import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationModel;
import oilbird.alarm.station.StationView;

/** Explains alarms in plain words. */
public final class Explainer {
    private final StationModel model;

    public Explainer(StationModel model) {
        this.model = model;
    }

    /**
     * @throws IllegalArgumentException if the view has no such alarm.
     */
    public Explanation explain(StationView view, AlarmId alarm) {
        throw new UnsupportedOperationException("in work: " + model.rulesVersion() + view.at() + alarm);
    }
}
