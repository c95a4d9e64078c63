package oilbird.mapping.map;

import java.util.List;
import org.jspecify.annotations.Nullable;

/** What some bits of a status word are for. Bits that no use names are undocumented. */
public sealed interface BitUse {
    /** Lowest bit, 0 being the least significant, or the first of a run of coils or discrete inputs. */
    int low();

    /** Highest bit; the same as {@link #low()} for a single one. */
    int high();

    /** The bit that says whether these mean anything now; null when they always do. */
    @Nullable
    Condition validWhen();

    /** Mask of the bits within the word. */
    default long mask() {
        int width = high() - low() + 1;
        return (width == 64 ? -1L : (1L << width) - 1) << low();
    }

    /**
     * Another bit of the same word having a value.
     *
     * @param set true for "while the bit is 1".
     */
    record Condition(int bit, boolean set) {}

    /**
     * A bit that is one indication.
     *
     * @param inverted true where the indication holds while the bit is 0.
     */
    record Flag(
            int bit,
            String indication,
            boolean inverted,
            @Nullable Condition validWhen) implements BitUse {
        @Override
        public int low() {
            return bit;
        }

        @Override
        public int high() {
            return bit;
        }
    }

    /**
     * Bits that together are a number with a meaning for each value. Its value is also a reading of
     * that name whose text is the value's text.
     *
     * @param values those that the maker defines, ascending.
     */
    record Field(
            String name,
            String text,
            int low,
            int high,
            List<FieldValue> values,
            @Nullable Condition validWhen) implements BitUse {
        public Field {
            values = List.copyOf(values);
        }
    }

    /**
     * @param indication the one that holds while the field has this value; null for none.
     */
    record FieldValue(long value, String text, @Nullable String indication) {}

    /** Bits that the maker says are not used. */
    record Spare(int low, int high) implements BitUse {
        @Override
        public @Nullable Condition validWhen() {
            return null;
        }
    }
}
