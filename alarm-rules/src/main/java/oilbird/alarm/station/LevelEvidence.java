package oilbird.alarm.station;

import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * What the evidence of a level alarm says: {@code h2 = 180 ppm (limit 150 ppm)}.
 *
 * @param value with its unit.
 * @param limit with its unit.
 */
public record LevelEvidence(String value, String limit) {
    private static final Pattern WRITTEN = Pattern.compile(" = ([^()]+) \\(limit ([^(),]+)[,)].*");

    /** Empty where the text is the evidence of something else. */
    public static Optional<LevelEvidence> in(String evidence) {
        Matcher matcher = WRITTEN.matcher(evidence);
        return matcher.find() ? Optional.of(new LevelEvidence(matcher.group(1), matcher.group(2))) : Optional.empty();
    }
}
