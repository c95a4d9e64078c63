package oilbird.gateway.contract;

/**
 * Something an engineer should know and an operator need not: form {@code oilbird.notice/1}.
 *
 * @param subject {@code owner/name} of what it is about.
 */
public record NoticeForm(
        String form,
        String station,
        String eventId,
        long position,
        boolean recorded,
        String kind,
        String subject,
        String text,
        String at,
        boolean timeTrusted)
        implements EventForm {
    public static final String FORM = "oilbird.notice/1";

    @Override
    public String about() {
        return subject;
    }
}
