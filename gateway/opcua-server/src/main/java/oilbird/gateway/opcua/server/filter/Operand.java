package oilbird.gateway.opcua.server.filter;

import org.jspecify.annotations.Nullable;

/** Something that has a value for an event: a literal, a field, or another element of the filter. */
interface Operand {
    /** Null for NULL, which is neither true nor false. */
    @Nullable
    Object valueOf(FilteredEvent event, EventTypes types);

    /** The same for every event. */
    record Literal(@Nullable Object value) implements Operand {
        @Override
        public @Nullable Object valueOf(FilteredEvent event, EventTypes types) {
            return value;
        }
    }
}
