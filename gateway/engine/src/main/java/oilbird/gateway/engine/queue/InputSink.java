package oilbird.gateway.engine.queue;

import oilbird.alarm.station.StationInput;

/** Where pollers put what they saw. Never blocks; thread-safe. */
@FunctionalInterface
public interface InputSink {
    /**
     * Puts one input in line.
     *
     * @return false if it was lost because the station could not keep up; the loss is counted and shown.
     */
    boolean offer(StationInput input);
}
