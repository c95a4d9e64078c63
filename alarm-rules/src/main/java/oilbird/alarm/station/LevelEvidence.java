package oilbird.alarm.station;

import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * What the evidence of a level alarm says: {@code h2 = 180 ppm (limit 150 ppm)}.
 *
 * @param value in the unit of the limit.
 */
public record LevelEvidence(double value, double limit) {
    private static final Pattern WRITTEN =
            Pattern.compile(" = (-?[0-9]+(?:[.][0-9]+)?)[^()]* \\(limit (-?[0-9]+(?:[.][0-9]+)?)[^(),]*[,)].*");

    /** Empty where the text is the evidence of something else. */
    public static Optional<LevelEvidence> in(String evidence) {
        Matcher matcher = WRITTEN.matcher(evidence);
        return matcher.find()
                ? Optional.of(
                        new LevelEvidence(Double.parseDouble(matcher.group(1)), Double.parseDouble(matcher.group(2))))
                : Optional.empty();
    }
}
