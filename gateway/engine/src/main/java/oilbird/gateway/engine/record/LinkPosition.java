package oilbird.gateway.engine.record;

/**
 * How far a link has come.
 *
 * @param link id of the link in the station file.
 * @param position of the last event that the other side confirmed, with all before it; 0 for none.
 */
public record LinkPosition(String link, long position) {}
