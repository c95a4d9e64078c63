package oilbird.gateway.contract;

import java.util.List;

/**
 * Open diagnoses and keep-away: form {@code oilbird.diagnoses/1}.
 *
 * @param diagnoses those that may be trouble of a transformer first, then the oldest first.
 */
public record DiagnosesForm(
        String form,
        StationForm station,
        String asOf,
        boolean timeTrusted,
        List<KeepAwayForm> keepAway,
        List<DiagnosisForm> diagnoses) {
    public static final String FORM = "oilbird.diagnoses/1";

    public DiagnosesForm {
        keepAway = List.copyOf(keepAway);
        diagnoses = List.copyOf(diagnoses);
    }
}
