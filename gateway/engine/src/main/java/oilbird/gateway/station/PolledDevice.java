package oilbird.gateway.station;

import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.Map;
import oilbird.mapping.address.Request;
import oilbird.mapping.map.DeviceMap;

/**
 * A device of the station with its map and its place on the wire.
 *
 * @param periods polling period by poll class; every class of the map has one.
 */
public record PolledDevice(String id, DeviceMap map, Endpoint endpoint, Map<String, Duration> periods) {
    public PolledDevice {
        periods = new LinkedHashMap<>(periods);
    }

    /** How often a block of the map's plan is fetched. */
    public Duration period(Request block) {
        Duration period = periods.get(block.pollClass());
        if (period == null) {
            throw new IllegalArgumentException(id + " has no poll class " + block.pollClass());
        }
        return period;
    }
}
