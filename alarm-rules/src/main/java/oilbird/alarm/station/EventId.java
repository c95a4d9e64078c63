package oilbird.alarm.station;

/**
 * Identity of an event, unique for all time.
 *
 * @param gateway id of the gateway in the station file.
 * @param incarnation durably raised at every start and every restore of the gateway.
 * @param sequence 1 for the first event of the incarnation.
 */
public record EventId(String gateway, long incarnation, long sequence) {
    /** The written form {@code gateway.incarnation.sequence}. */
    @Override
    public String toString() {
        return gateway + "." + incarnation + "." + sequence;
    }

    /**
     * Reads the written form.
     *
     * @throws IllegalArgumentException if the text is not one.
     */
    public static EventId parse(String text) {
        int last = text.lastIndexOf('.');
        int middle = last < 0 ? -1 : text.lastIndexOf('.', last - 1);
        if (middle < 1) {
            throw new IllegalArgumentException("not an event id (gateway.incarnation.sequence): " + text);
        }
        return new EventId(
                text.substring(0, middle),
                Long.parseLong(text.substring(middle + 1, last)),
                Long.parseLong(text.substring(last + 1)));
    }
}
