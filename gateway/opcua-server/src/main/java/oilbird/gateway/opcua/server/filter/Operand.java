package oilbird.gateway.opcua.server.filter;

import org.jspecify.annotations.Nullable;

/** Something that has a value for an event: a literal, a field, or another element of the filter. */
interface Operand {
    /**
     * Null for NULL, which is neither true nor false.
     *
     * @param elements values of those elements of the filter that stand after this operand's own.
     */
    @Nullable
    Object valueOf(FilteredEvent event, EventTypes types, @Nullable Object[] elements);

    /** The same for every event. */
    record Literal(@Nullable Object value) implements Operand {
        @Override
        public @Nullable Object valueOf(FilteredEvent event, EventTypes types, @Nullable Object[] elements) {
            return value;
        }
    }

    /** The value of another element. Several may refer to one, which is evaluated once all the same. */
    record OfElement(int index) implements Operand {
        @Override
        public @Nullable Object valueOf(FilteredEvent event, EventTypes types, @Nullable Object[] elements) {
            return elements[index];
        }
    }
}
