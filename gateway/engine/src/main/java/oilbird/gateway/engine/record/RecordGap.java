package oilbird.gateway.engine.record;

import oilbird.alarm.station.EventId;
import org.jspecify.annotations.Nullable;

/**
 * Positions of the event record that were never written: events that were announced from memory and had to be dropped
 * before the disk could take them.
 *
 * @param from first missing position.
 * @param to last missing position.
 * @param first event there, or null if the positions were never given to any.
 * @param last event there, or null if the positions were never given to any.
 */
public record RecordGap(
        long from,
        long to,
        @Nullable EventId first,
        @Nullable EventId last) {}
