package oilbird.gateway.engine.record;

import oilbird.alarm.station.StationEvent;

/**
 * An event with its place in the event record.
 *
 * @param position 1 for the first event of a record; later events have greater positions.
 * @param recorded false if it was announced from memory because the disk could not be written.
 */
public record RecordedEvent(long position, StationEvent event, boolean recorded) {}
