package oilbird.mapping.text;

import java.util.HashSet;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/**
 * Collects the mistakes of one or more files while they are read, so that all are told and not only
 * the first. The same mistake at the same place is told once.
 */
public final class Problems {
    /** Beyond this many a list helps nobody; the last entry then says so. */
    static final int LIMIT = 200;

    private final Set<Problem> found = new LinkedHashSet<>();
    private final Set<Position> misshapen = new HashSet<>();
    private boolean refused;

    public void error(Position position, String what, String remedy) {
        add(Problem.error(position, what, remedy));
    }

    public void warning(Position position, String what, String remedy) {
        add(Problem.warning(position, what, remedy));
    }

    public void add(Problem problem) {
        refused |= problem.severity() == Problem.Severity.ERROR;
        if (found.size() < LIMIT) {
            found.add(problem);
        } else if (found.size() == LIMIT) {
            found.add(Problem.error(
                    problem.position(),
                    "more than " + LIMIT + " mistakes; the rest is not listed",
                    "correct those above and check again"));
            refused = true;
        }
    }

    /** A value of the wrong kind; the schema check and the typed accessors both see it, one tells. */
    void misshapen(Position position, String what, String remedy) {
        if (misshapen.add(position)) {
            error(position, what, remedy);
        }
    }

    /** True when the value at this position was already told to be of the wrong kind. */
    public boolean isMisshapen(Position position) {
        return misshapen.contains(position);
    }

    /** True once there is an error among the problems. */
    public boolean refused() {
        return refused;
    }

    /** All problems in file order. */
    public List<Problem> list() {
        return found.stream()
                .sorted((a, b) -> a.position().compareTo(b.position()))
                .toList();
    }

    /** The value with the problems found, without the value when there was an error. */
    public <T> Loaded<T> loaded(@Nullable T value) {
        if (!refused && value == null) {
            throw new IllegalStateException("no value and no error that tells why");
        }
        return new Loaded<>(refused ? null : value, list());
    }
}
