package oilbird.mapping.decode;

import java.util.ArrayList;
import java.util.List;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.WordOrder;
import oilbird.mapping.map.Point;
import oilbird.mapping.map.Range;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;

/** What the registers of one point say in each of the four orders, to find the order that a device uses. */
public final class FourOrders {
    private FourOrders() {}

    /**
     * One order's answer.
     *
     * @param plausible true where the reading is good, in the point's range, and not one of the tiny numbers that
     *     floating-point values become when their words are swapped.
     */
    public record Candidate(WordOrder order, Reading reading, boolean plausible) {}

    /**
     * The candidates in the order of {@link WordOrder}. The condition of the point, if it has one, is left out of
     * account.
     *
     * @param raw holds all cells of the point.
     */
    public static List<Candidate> of(Point point, RawBlock raw, Moment at) {
        List<Candidate> candidates = new ArrayList<>();
        for (WordOrder order : WordOrder.values()) {
            Reading reading = new PointDecoder(point.inOrder(order)).decode("", raw, at);
            candidates.add(new Candidate(order, reading, isPlausible(point, reading)));
        }
        return candidates;
    }

    private static boolean isPlausible(Point point, Reading reading) {
        if (reading.reason() == QualityReason.NO_VALUE) {
            return true;
        }
        Range range = point.plausible();
        Double value = reading.number();
        if (reading.reason() != QualityReason.NONE || range == null || value == null) {
            return false;
        }
        double largest = Math.max(Math.abs(range.low()), Math.abs(range.high()));
        return value == 0 || Math.abs(value) >= largest * 1e-6;
    }
}
