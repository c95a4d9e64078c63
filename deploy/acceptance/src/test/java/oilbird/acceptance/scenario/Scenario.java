package oilbird.acceptance.scenario;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.demoplant.course.Injection;
import org.jspecify.annotations.Nullable;

/**
 * Some hours or days of the plant with a known true cause.
 *
 * @param plays what is played, in time since the scenario's beginning at six in the morning.
 * @param judged when the answer is looked at.
 * @param cause the true cause, one of what is played; null where all is well.
 * @param twin of the scenario before it in the file; null for that one itself.
 */
record Scenario(
        String name,
        List<Play> plays,
        Duration judged,
        @Nullable Cause cause,
        @Nullable String twin) {
    private static final Pattern PLAY =
            Pattern.compile("([a-z0-9-]+)@([a-z0-9-]+) ([0-9.]+)h(?:-([0-9.]+)h)?(?: x([0-9.]+))?");

    /** A fault at a target. */
    record Cause(String fault, String target) {
        @Override
        public String toString() {
            return fault + "@" + target;
        }
    }

    record Play(Cause cause, Duration from, @Nullable Duration until, double strength) {
        Injection after(Duration offset, double times) {
            return new Injection(
                    cause.fault,
                    cause.target,
                    from.plus(offset),
                    until == null ? null : until.plus(offset),
                    strength * times);
        }
    }

    boolean healthy() {
        return cause == null;
    }

    /** All scenarios of a text: one a line, columns divided by bars, a twin below its scenario and marked so. */
    static List<Scenario> read(String text) {
        List<Scenario> scenarios = new ArrayList<>();
        String base = "";
        for (String line : text.lines().toList()) {
            if (line.isBlank() || line.startsWith("#")) {
                continue;
            }
            String[] columns = line.split("\\|", -1);
            if (columns.length != 4) {
                throw new IllegalArgumentException("four columns are wanted: " + line);
            }
            boolean twin = columns[0].startsWith("~");
            String name = columns[0].replace("~", "").strip();
            List<Play> plays = plays(columns[1].strip());
            scenarios.add(new Scenario(
                    name,
                    plays,
                    hours(columns[2].strip().replace("h", "")),
                    cause(columns[3].strip(), plays).orElse(null),
                    twin ? base : null));
            base = twin ? base : name;
        }
        return scenarios;
    }

    private static List<Play> plays(String column) {
        List<Play> plays = new ArrayList<>();
        if (column.isEmpty()) {
            return plays;
        }
        for (String part : column.split(",")) {
            Matcher matcher = PLAY.matcher(part.strip());
            if (!matcher.matches()) {
                throw new IllegalArgumentException("no fault@target 2h-8h: " + part);
            }
            String until = matcher.group(4);
            String strength = matcher.group(5);
            plays.add(new Play(
                    new Cause(matcher.group(1), matcher.group(2)),
                    hours(matcher.group(3)),
                    until == null ? null : hours(until),
                    strength == null ? 1 : Double.parseDouble(strength)));
        }
        return plays;
    }

    private static Optional<Cause> cause(String column, List<Play> plays) {
        if (column.equals("healthy")) {
            return Optional.empty();
        }
        return Optional.of(plays.stream()
                .map(Play::cause)
                .filter(c -> c.toString().equals(column))
                .findFirst()
                .orElseThrow(() -> new IllegalArgumentException("not played: " + column)));
    }

    private static Duration hours(String written) {
        return Duration.ofSeconds(Math.round(Double.parseDouble(written) * 3600));
    }
}
