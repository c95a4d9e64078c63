package oilbird.gateway.engine.record;

import oilbird.alarm.station.EventId;

/**
 * Events that were announced from memory and had to be dropped before the disk could take them.
 *
 * @param from first missing position.
 * @param to last missing position.
 */
public record RecordGap(long from, long to, EventId first, EventId last) {}
