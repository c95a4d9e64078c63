package oilbird.gateway.points;

import java.util.Arrays;
import java.util.Locale;
import java.util.Optional;

/** Kind of a point's value, in the words of IEC 60870-5-101 and -104 as far as these have it. */
public enum PointType {
    /** Off or on (M_SP). */
    SINGLE_POINT,
    /** Off or on with two contacts, so that neither and both can be told (M_DP). */
    DOUBLE_POINT,
    /** A floating-point number (M_ME_NC). */
    MEASURED_VALUE,
    /** Words; not for IEC 60870-5-104, which has none. */
    TEXT;

    /** As point lists write it: {@code single-point}. */
    public String written() {
        return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    public static Optional<PointType> of(String written) {
        return Arrays.stream(values()).filter(t -> t.written().equals(written)).findFirst();
    }

    public boolean isOnOff() {
        return this == SINGLE_POINT || this == DOUBLE_POINT;
    }
}
