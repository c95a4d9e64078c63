package oilbird.gateway.contract;

/**
 * What became of a test message: form {@code oilbird.link-tested/1}.
 *
 * @param eventId id of the message, as the other side gets it and the event record has it.
 * @param confirmed true if the other side has confirmed it within the time.
 * @param afterMillis how long it took, or how long it was waited for.
 * @param words the whole in a sentence.
 */
public record LinkTestedForm(
        String form,
        StationForm station,
        String eventId,
        boolean confirmed,
        long afterMillis,
        String words,
        LinksForm.LinkForm link) {
    public static final String FORM = "oilbird.link-tested/1";
}
