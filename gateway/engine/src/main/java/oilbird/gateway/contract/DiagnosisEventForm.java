package oilbird.gateway.contract;

import java.util.List;

/**
 * A diagnosis was made, has changed or is over: form {@code oilbird.diagnosis-event/1}.
 *
 * @param kind {@code opened}, {@code changed} or {@code closed}.
 * @param diagnosis its id, the same as long as it is open.
 * @param causes the likeliest first, as they were then.
 * @param signs ids of those that held, the first-out first.
 * @param orOneOf ids of signs that may have come before the first one.
 * @param text the likeliest cause in one sentence.
 */
public record DiagnosisEventForm(
        String form,
        String station,
        String eventId,
        long position,
        boolean recorded,
        String kind,
        String diagnosis,
        String subject,
        String subjectName,
        List<String> assets,
        String since,
        List<LikelyForm> causes,
        List<String> signs,
        List<String> orOneOf,
        List<String> unexplained,
        List<String> alarms,
        List<String> alarmsApart,
        boolean keepsAway,
        String text,
        String at,
        boolean timeTrusted)
        implements EventForm {
    public static final String FORM = "oilbird.diagnosis-event/1";

    /** A cause with its posterior, rounded to millionths. */
    public record LikelyForm(String cause, String says, String trouble, double probability, String likelihood) {}

    public DiagnosisEventForm {
        assets = List.copyOf(assets);
        causes = List.copyOf(causes);
        signs = List.copyOf(signs);
        orOneOf = List.copyOf(orOneOf);
        unexplained = List.copyOf(unexplained);
        alarms = List.copyOf(alarms);
        alarmsApart = List.copyOf(alarmsApart);
    }

    @Override
    public String about() {
        return subject;
    }
}
