package oilbird.alarm.transformer;

import java.util.List;

/**
 * The answer to one question about a transformer: told, or a named reason why it cannot be told.
 *
 * @param <T> what is told.
 */
public sealed interface Finding<T> {
    /** A value with what must be known beside it. */
    record Told<T>(T value, List<Remark> remarks) implements Finding<T> {
        public Told {
            remarks = List.copyOf(remarks);
        }
    }

    /**
     * No value.
     *
     * @param detail which gas, which limit, how many samples.
     */
    record Untold<T>(Why why, String detail) implements Finding<T> {}

    static <T> Finding<T> told(T value, List<Remark> remarks) {
        return new Told<>(value, remarks);
    }

    static <T> Finding<T> told(T value) {
        return new Told<>(value, List.of());
    }

    static <T> Finding<T> untold(Why why, String detail) {
        return new Untold<>(why, detail);
    }
}
