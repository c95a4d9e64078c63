package oilbird.gateway.engine.record;

/**
 * How far a link has come.
 *
 * @param link id of the link in the station file.
 * @param position of the last event that the other side confirmed, with all before it; 0 for none.
 * @param day counted from 1970-01-01; 0 where nothing was sent.
 * @param bytes sent in that day.
 */
public record LinkPosition(String link, long position, long day, long bytes) {
    /** A link of which nothing is counted. */
    public LinkPosition(String link, long position) {
        this(link, position, 0, 0);
    }
}
