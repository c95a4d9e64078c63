package oilbird.mapping.text;

import java.util.List;
import java.util.Optional;
import org.jspecify.annotations.Nullable;

/**
 * What came of reading a file: a value, or the mistakes that prevent it, and warnings in either case.
 *
 * @param value null exactly when there is an error among the problems.
 * @param problems in file order.
 */
public record Loaded<T>(@Nullable T value, List<Problem> problems) {
    public Loaded {
        problems = problems.stream()
                .sorted((a, b) -> a.position().compareTo(b.position()))
                .toList();
        boolean refused = problems.stream().anyMatch(p -> p.severity() == Problem.Severity.ERROR);
        if (refused != (value == null)) {
            throw new IllegalArgumentException("a value comes exactly without errors: " + problems);
        }
    }

    public Optional<T> result() {
        return Optional.ofNullable(value);
    }
}
