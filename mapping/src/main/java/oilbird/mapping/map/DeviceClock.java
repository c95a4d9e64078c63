package oilbird.mapping.map;

import java.time.Duration;
import java.time.ZoneId;

/**
 * A device's own clock, to be compared with the gateway's and never set by it.
 *
 * @param point name of the point that holds the device's time.
 * @param zone that the clock keeps: {@code UTC}, a fixed offset for a clock that is not put forward in summer,
 *     or a place's name for one that follows its rule of summer time.
 * @param bound difference either way beyond which the clock is wrong.
 * @param reading name of the reading that tells the difference in seconds, positive where the device is ahead.
 * @param indication name of the indication that holds while the clock is wrong.
 */
public record DeviceClock(String point, ZoneId zone, Duration bound, String reading, String indication) {}
