package oilbird.alarm.explain;

import java.util.List;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.rule.Trouble;
import org.jspecify.annotations.Nullable;

/**
 * What one diagnosis means for people.
 *
 * @param headline equipment and likely cause, at most 80 characters.
 * @param sentence the likely cause and how likely, what does not fit, which readings are doubtful, who must do what.
 * @param trouble whose trouble the likeliest cause is; null where no cause is to be reckoned with.
 * @param trust what the likely cause means for readings.
 * @param checks of the causes to be reckoned with, in order of exposure.
 * @param withdrawn how many more there are that nobody is asked to do while people are to keep away.
 */
public record DiagnosisExplanation(
        Diagnosis diagnosis,
        String headline,
        String sentence,
        @Nullable Trouble trouble,
        String subjectName,
        String trust,
        List<Explanation.ExplainedCheck> checks,
        int withdrawn,
        List<KeepAwayNotice> keepAway,
        String standingNote) {
    public DiagnosisExplanation {
        checks = List.copyOf(checks);
        keepAway = List.copyOf(keepAway);
    }
}
