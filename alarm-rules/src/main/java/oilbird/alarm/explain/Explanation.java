package oilbird.alarm.explain;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.Priority;
import oilbird.mapping.signal.Caution;
import oilbird.mapping.signal.FirstCheck;
import org.jspecify.annotations.Nullable;

/**
 * What one alarm means for people.
 *
 * @param headline equipment and condition, at most 80 characters.
 * @param sentence what happened, whether the readings can be trusted, whom to call and within what time.
 * @param trouble whose trouble it is.
 * @param troubleText the same in words: {@code Monitor trouble, not transformer trouble}.
 * @param trust whether the readings can be trusted, naming those that cannot and why.
 * @param call whom to call; empty where the rule does not say.
 * @param within time to respond; null where the rule does not say.
 * @param checks in order of exposure; while people are to keep away from the asset only those at the screen.
 * @param withdrawn how many checks are left out because people are to keep away.
 * @param keepAway from what people are to keep away; empty for nothing.
 * @param likely the likely cause by the diagnosis that the alarm belongs to; null where it belongs to none.
 * @param standingNote what prevails over every check.
 */
public record Explanation(
        AlarmId alarm,
        String headline,
        String sentence,
        Trouble trouble,
        String troubleText,
        Priority priority,
        String trust,
        boolean readingsTrusted,
        String call,
        @Nullable Duration within,
        String response,
        List<String> causes,
        String consequence,
        boolean alsoHardwired,
        List<ExplainedCheck> checks,
        int withdrawn,
        List<KeepAwayNotice> keepAway,
        @Nullable LikelyCause likely,
        String standingNote) {
    /**
     * What a diagnosis says of an alarm.
     *
     * @param diagnosis its id.
     * @param cause id of the cause; empty where most likely no listed one has produced the alarm.
     * @param says the cause in plain words; empty likewise.
     * @param text the whole as a sentence: {@code Very likely cause (93 %): the fan is worn out.}
     */
    public record LikelyCause(String diagnosis, String cause, String says, double probability, String text) {}

    /**
     * One first check with its cautions in words.
     *
     * @param exposureText {@code look from outside}.
     */
    public record ExplainedCheck(FirstCheck check, String exposureText) {
        /** Cautions with texts and standards, in the order of {@link Caution}. */
        public List<Caution> cautions() {
            return check.cautions();
        }
    }

    public Explanation {
        causes = List.copyOf(causes);
        checks = List.copyOf(checks);
        keepAway = List.copyOf(keepAway);
    }
}
