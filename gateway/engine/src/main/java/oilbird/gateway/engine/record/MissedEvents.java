package oilbird.gateway.engine.record;

/**
 * Events that were removed from the record before a link's other side had them.
 *
 * @param first id of the first of them.
 * @param last id of the last of them.
 */
public record MissedEvents(String first, String last) {}
