package oilbird.alarm.transformer.gas;

import oilbird.alarm.transformer.SensorKind;

/**
 * Who analysed a sample.
 *
 * @param id device id of the monitor, or the laboratory's name; trends never mix sources.
 */
public record SampleSource(String id, Origin origin, SensorKind sensor) {
    /** Laboratory and monitor are kept apart everywhere. */
    public enum Origin {
        LABORATORY,
        MONITOR
    }
}
