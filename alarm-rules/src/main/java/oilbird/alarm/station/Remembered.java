package oilbird.alarm.station;

import java.util.List;

/**
 * A piece of what the fold knows besides alarm states, maintenance and point tests, stored so that a restart does not
 * forget it. What the texts and numbers mean is known to the class that makes the piece and reads it back.
 *
 * @param key what it is and of whom, as {@code rate t1/gas-t1.warming}; a newer piece of the same key replaces it.
 * @param instants monotonic nanoseconds of the process that made it; {@link Past} moves them to the time of the next.
 * @param atOnce true where it must not wait until something else is committed, within a minute.
 */
public record Remembered(
        String key, List<String> texts, List<Long> instants, List<Double> numbers, boolean atOnce) {
    public Remembered {
        texts = List.copyOf(texts);
        instants = List.copyOf(instants);
        numbers = List.copyOf(numbers);
    }

    /** Says that nothing is left under a key; its stored piece is removed. */
    public static Remembered nothing(String key, boolean atOnce) {
        return new Remembered(key, List.of(), List.of(), List.of(), atOnce);
    }

    public boolean isNothing() {
        return texts.isEmpty() && instants.isEmpty() && numbers.isEmpty();
    }
}
