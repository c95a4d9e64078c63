package oilbird.gateway.engine.writer;

import oilbird.alarm.station.StationView;

/**
 * Is told how the station stands, after what led there is durable. Called on a thread of its own; while one call
 * runs, newer views replace each other, so a slow listener sees fewer of them and delays nobody.
 */
@FunctionalInterface
public interface ViewListener {
    void changed(StationView view);
}
