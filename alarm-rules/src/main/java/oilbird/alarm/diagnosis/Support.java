package oilbird.alarm.diagnosis;

import oilbird.mapping.text.Position;
import org.jspecify.annotations.Nullable;

/**
 * Soft evidence for a cause, in readings or in indications that the cause does not produce by itself.
 *
 * @param seen what is looked for.
 * @param ratio how many times likelier it is to be seen with the cause than without it; more than 0.
 * @param otherwise the same of its not being seen; what cannot be told counts 1.
 */
public record Support(Seen seen, double ratio, double otherwise, Position position) {
    /** What is looked for. */
    public sealed interface Seen {}

    /** An indication holds, or does not hold. */
    public record OfIndication(SignName indication, boolean holds) implements Seen {}

    /**
     * A reading, or its difference to another one of the device, lies above or below a limit.
     *
     * @param over point that is subtracted, or null.
     * @param limit in {@code unit}, the unit of the reading.
     */
    public record OfReading(
            @Nullable String map, String point, @Nullable String over, boolean above, double limit, String unit)
            implements Seen {}
}
