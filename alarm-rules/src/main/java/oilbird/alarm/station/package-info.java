/**
 * The whole station as one fold over its inputs: signals, trust, rules, alarms.
 *
 * <p>{@link oilbird.alarm.station.StationFold} is the only caller of the alarm state machine.
 */
@NullMarked
package oilbird.alarm.station;

import org.jspecify.annotations.NullMarked;
