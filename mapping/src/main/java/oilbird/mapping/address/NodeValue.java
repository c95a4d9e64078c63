package oilbird.mapping.address;

import org.jspecify.annotations.Nullable;

/**
 * The value of one node as a server gave it; OPC UA Part 4, 7.11 (DataValue).
 *
 * @param status status code, 32 bits; the two highest are its severity (Part 4, 7.39).
 * @param statusName its symbolic name, {@code Uncertain_SensorNotAccurate}.
 * @param sourceMillis when the source made the value, milliseconds since 1970-01-01T00:00:00Z; null where the
 *     server does not say.
 * @param serverMillis when the server got it; null where it does not say.
 */
public record NodeValue(
        NodeContent content,
        long status,
        String statusName,
        @Nullable Long sourceMillis,
        @Nullable Long serverMillis) {
    /** Severity of a status code. */
    public enum Severity {
        GOOD,
        UNCERTAIN,
        BAD
    }

    /**
     * A good value without time stamps.
     *
     * @param value as {@link NodeContent#of} takes it.
     */
    public static NodeValue good(Object value) {
        return new NodeValue(NodeContent.of(value), 0, "Good", null, null);
    }

    /** A value that the server declares otherwise. */
    public static NodeValue of(NodeContent content, long status, String statusName) {
        return new NodeValue(content, status, statusName, null, null);
    }

    public Severity severity() {
        return switch ((int) (status >>> 30 & 3)) {
            case 0 -> Severity.GOOD;
            case 1 -> Severity.UNCERTAIN;
            // 11 is reserved: nothing good can be concluded from it.
            default -> Severity.BAD;
        };
    }

    /**
     * True where the server says that there is no such node or that it may not be read: a mistake of the map or of
     * rights, not of the sensor (Part 6, Annex A.2).
     */
    public boolean refused() {
        return switch ((int) (status >>> 16)) {
            // BadUserAccessDenied, BadNodeIdInvalid, BadNodeIdUnknown, BadAttributeIdInvalid, BadNotReadable
            case 0x801F, 0x8033, 0x8034, 0x8035, 0x803A -> true;
            default -> false;
        };
    }
}
