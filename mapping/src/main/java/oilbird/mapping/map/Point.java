package oilbird.mapping.map;

import java.time.Duration;
import java.util.List;
import oilbird.mapping.address.Address;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.WordOrder;
import org.jspecify.annotations.Nullable;

/**
 * One readable value of a device.
 *
 * @param name unique among the map's readings; the second part of the reading's {@code SignalId}.
 * @param text what it is, in plain words.
 * @param order of bytes in registers; ABCD for a node.
 * @param fields what a date and time in parts consists of; empty for other types.
 * @param scale reading = raw value x scale + offset.
 * @param unit as written in the map; empty for none.
 * @param plausible null where the map states none.
 * @param noValueRaw bit patterns that mean "no value", in the least significant bits; for a node those of doubles.
 * @param noValueScaled readings that mean "no value", after scale and offset.
 * @param loop the 4-20 mA input that the scaled value is the current of; null for others.
 * @param sensor whose unconverted value the scaled value is; null for others.
 * @param validWhen null where the value is always valid.
 * @param frozenAfter how long a living value never stays the same to the last digit; null where it may.
 * @param update null where the value is as fresh as its reading.
 * @param group name under which trust effects may mean several points at once; null for none.
 * @param semantic IEC 61850 logical node and data object or another model's name; null for none.
 * @param verified null while nobody compared the point with the local display.
 */
public record Point(
        String name,
        String text,
        Address address,
        ValueType type,
        WordOrder order,
        List<TimeField> fields,
        double scale,
        double offset,
        String unit,
        @Nullable Range plausible,
        List<Long> noValueRaw,
        List<Double> noValueScaled,
        @Nullable CurrentLoop loop,
        @Nullable Sensor sensor,
        @Nullable ValidWhen validWhen,
        @Nullable UpdatePeriod update,
        @Nullable Duration frozenAfter,
        String pollClass,
        @Nullable String group,
        @Nullable String semantic,
        @Nullable Verification verified) {
    public Point {
        fields = List.copyOf(fields);
        noValueRaw = List.copyOf(noValueRaw);
        noValueScaled = List.copyOf(noValueScaled);
    }

    /**
     * A bit of a status word, in the same request, that says whether the value means anything now.
     *
     * @param set true for "while the bit is 1".
     */
    public record ValidWhen(String word, int bit, boolean set) {}

    /** The cells of a point in a Modbus device. */
    public Place place() {
        if (address instanceof Place place) {
            return place;
        }
        throw new IllegalStateException(name + " is at " + address);
    }

    Point verifiedBy(@Nullable Verification verification) {
        return with(order, validWhen, verification);
    }

    Point validWhen(ValidWhen condition) {
        return with(order, condition, verified);
    }

    /** The same point read in another order. */
    public Point inOrder(WordOrder other) {
        return with(other, validWhen, verified);
    }

    private Point with(WordOrder read, @Nullable ValidWhen condition, @Nullable Verification verification) {
        return new Point(
                name,
                text,
                address,
                type,
                read,
                fields,
                scale,
                offset,
                unit,
                plausible,
                noValueRaw,
                noValueScaled,
                loop,
                sensor,
                condition,
                update,
                frozenAfter,
                pollClass,
                group,
                semantic,
                verification);
    }
}
