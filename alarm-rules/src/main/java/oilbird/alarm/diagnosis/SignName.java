package oilbird.alarm.diagnosis;

import org.jspecify.annotations.Nullable;

/**
 * A sign as a fault model names it: an indication, or the condition of an alarm where no indication says the same.
 *
 * @param map id of another device map, whose devices on the same asset are meant; null for the model's own device.
 * @param name of the indication or, for an alarm, the key of its rule.
 * @param alarm true for the condition of an alarm.
 */
public record SignName(@Nullable String map, String name, boolean alarm) {
    static SignName of(String written, boolean alarm) {
        int slash = written.indexOf('/');
        return slash < 0
                ? new SignName(null, written, alarm)
                : new SignName(written.substring(0, slash), written.substring(slash + 1), alarm);
    }

    /** The written form {@code name} or {@code map/name}. */
    @Override
    public String toString() {
        return map == null ? name : map + "/" + name;
    }
}
