package oilbird.mapping.decode;

import oilbird.mapping.address.NodeContent;
import oilbird.mapping.address.NodeValue;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.map.CurrentLoop;
import oilbird.mapping.map.Point;
import oilbird.mapping.map.Pt100;
import oilbird.mapping.map.Range;
import oilbird.mapping.map.Sensor;
import oilbird.mapping.map.ValueType;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;

/** One point with everything computed that does not depend on the answer. */
final class PointDecoder {
    private static final int LONGEST_TEXT = 500;

    private final Point point;
    private final ValueType type;
    private final int start;
    private final int cells;
    private final boolean lowWordFirst;
    private final boolean bytesSwapped;
    private final double scale;
    /** 10 where the scale is 0.1, and so on: dividing rounds once, multiplying by 0.1 twice. 0 for none. */
    private final double divisor;

    private final long[] noValueRaw;
    private final double[] noValueScaled;

    PointDecoder(Point point) {
        this.point = point;
        this.type = point.type();
        this.start = point.address() instanceof Place place ? place.start() : 0;
        this.cells = point.address() instanceof Place place ? place.cells() : 0;
        this.lowWordFirst = point.order().lowWordFirst();
        this.bytesSwapped = point.order().bytesSwapped();
        this.scale = point.scale();
        double inverse = Math.rint(1 / scale);
        this.divisor = Math.abs(inverse) > 1 && 1 / inverse == scale ? inverse : 0;
        this.noValueRaw = point.noValueRaw().stream().mapToLong(Long::longValue).toArray();
        this.noValueScaled =
                point.noValueScaled().stream().mapToDouble(Double::doubleValue).toArray();
    }

    Point point() {
        return point;
    }

    Reading decode(String device, RawBlock raw, Moment at) {
        SignalId id = new SignalId(device, point.name());
        return switch (type) {
            case TEXT -> text(id, raw, at);
            case BIT -> new Reading(id, (double) raw.cell(start), null, QualityReason.NONE, at);
            case UNIX_SECONDS, UNIX_MILLISECONDS -> time(id, bits(raw), at);
            case DATE_TIME_REGISTERS, DATE_TIME_BCD -> TimeDecoder.ofParts(point, id, raw, at);
            case CP56TIME2A -> TimeDecoder.ofCp56(point, id, raw, at);
            case INT16, UINT16, INT32, UINT32, INT64, UINT64, FLOAT32, FLOAT64, BCD16, BCD32 ->
                number(id, bits(raw), at);
            case NUMBER, DATE_TIME, SOURCE_TIME, SERVER_TIME ->
                throw new IllegalStateException(point.name() + " is the point of a node");
        };
    }

    Reading decode(String device, NodeValue value, Moment at) {
        SignalId id = new SignalId(device, point.name());
        return NodeQuality.of(value, bare(id, value, at));
    }

    private Reading bare(SignalId id, NodeValue value, Moment at) {
        QualityReason unusable = NodeQuality.unusable(value);
        if (unusable != QualityReason.NONE) {
            return none(id, unusable, at);
        }
        NodeContent content = value.content();
        if (type == ValueType.SOURCE_TIME || type == ValueType.SERVER_TIME) {
            Long millis = type == ValueType.SOURCE_TIME ? value.sourceMillis() : value.serverMillis();
            return millis == null
                    ? none(id, QualityReason.NO_VALUE, at)
                    : new Reading(id, millis / 1000.0, null, QualityReason.NONE, at);
        }
        if (content instanceof NodeContent.None) {
            return none(id, QualityReason.NO_VALUE, at);
        }
        if (type == ValueType.NUMBER && !(content instanceof NodeContent.Text)) {
            return numberOfNode(id, content, at);
        }
        if (type == ValueType.BIT && content instanceof NodeContent.Truth truth) {
            return new Reading(id, truth.value() ? 1.0 : 0.0, null, QualityReason.NONE, at);
        }
        if (type == ValueType.TEXT && content instanceof NodeContent.Text text) {
            return textOfNode(id, text.value(), at);
        }
        if (type == ValueType.DATE_TIME && content instanceof NodeContent.Time time) {
            return TimeDecoder.ofOpcUa(id, time.millis(), at);
        }
        return none(id, QualityReason.INVALID_ANSWER, at);
    }

    private Reading numberOfNode(SignalId id, NodeContent content, Moment at) {
        double raw;
        if (content instanceof NodeContent.Real real) {
            raw = real.value();
        } else if (content instanceof NodeContent.Whole whole) {
            raw = whole.signed() || whole.bits() >= 0 ? whole.bits() : unsigned(whole.bits());
        } else if (content instanceof NodeContent.Truth truth) {
            raw = truth.value() ? 1 : 0;
        } else {
            return none(id, QualityReason.INVALID_ANSWER, at);
        }
        for (long code : noValueRaw) {
            if (isCode(raw, Double.longBitsToDouble(code))) {
                return none(id, QualityReason.NO_VALUE, at);
            }
        }
        return scaled(id, raw, at);
    }

    private static Reading textOfNode(SignalId id, String value, Moment at) {
        StringBuilder text = new StringBuilder();
        boolean printable = value.length() <= LONGEST_TEXT;
        for (int i = 0; i < Math.min(value.length(), LONGEST_TEXT); i++) {
            char character = value.charAt(i);
            boolean control = Character.isISOControl(character) && !Character.isWhitespace(character);
            printable &= !control;
            text.append(control ? '?' : character);
        }
        String stripped = text.toString().strip();
        return stripped.isEmpty()
                ? none(id, QualityReason.NO_VALUE, at)
                : new Reading(id, null, stripped, printable ? QualityReason.NONE : QualityReason.OUTSIDE_RANGE, at);
    }

    private long bits(RawBlock raw) {
        return RegisterBits.of(raw, start, cells, lowWordFirst, bytesSwapped);
    }

    private Reading number(SignalId id, long bits, Moment at) {
        for (long code : noValueRaw) {
            if (code == bits) {
                return none(id, QualityReason.NO_VALUE, at);
            }
        }
        return scaled(id, rawNumber(bits), at);
    }

    private static boolean isCode(double value, double code) {
        // Codes come from a manual in decimal; the last binary digit is not in it.
        return Math.abs(value - code) <= 1e-6 * Math.max(1, Math.abs(code));
    }

    private Reading scaled(SignalId id, double raw, Moment at) {
        double value = (divisor != 0 ? raw / divisor : raw * scale) + point.offset();
        if (!Double.isFinite(value)) {
            return none(id, QualityReason.NOT_A_NUMBER, at);
        }
        for (double code : noValueScaled) {
            if (isCode(value, code)) {
                return none(id, QualityReason.NO_VALUE, at);
            }
        }
        CurrentLoop loop = point.loop();
        QualityReason reason = QualityReason.NONE;
        if (loop != null) {
            if (value <= CurrentLoop.FAILED_LOW_MA) {
                return none(id, QualityReason.LOOP_FAILED, at);
            }
            if (value >= CurrentLoop.FAILED_HIGH_MA) {
                return none(id, QualityReason.LOOP_FAILED_HIGH, at);
            }
            if (value < CurrentLoop.RANGE_LOW_MA || value > CurrentLoop.RANGE_HIGH_MA) {
                reason = QualityReason.SATURATED;
            }
            value = loop.at4mA() + (value - 4) / 16 * (loop.at20mA() - loop.at4mA());
            if (!Double.isFinite(value)) {
                return none(id, QualityReason.NOT_A_NUMBER, at);
            }
        }
        if (point.sensor() == Sensor.PT100) {
            value = Pt100.degC(value);
            if (!Double.isFinite(value)) {
                // A broken or shorted sensor, or its wire: no temperature has that resistance.
                return none(id, QualityReason.OUTSIDE_RANGE, at);
            }
        }
        Range plausible = point.plausible();
        if (plausible != null && !plausible.contains(value)) {
            reason = QualityReason.OUTSIDE_RANGE;
        }
        // Negative zero would print as -0.
        return new Reading(id, value == 0 ? 0.0 : value, null, reason, at);
    }

    /** Not finite where the bits are no number. */
    private double rawNumber(long bits) {
        return switch (type) {
            case INT16 -> (short) bits;
            case INT32 -> (int) bits;
            case UINT16, UINT32, INT64 -> bits;
            case UINT64 -> bits >= 0 ? bits : unsigned(bits);
            case FLOAT32 -> Float.intBitsToFloat((int) bits);
            case FLOAT64 -> Double.longBitsToDouble(bits);
            case BCD16 -> bcd(bits, 4);
            case BCD32 -> bcd(bits, 8);
            default -> Double.NaN;
        };
    }

    private static double unsigned(long bits) {
        // Halving with the lost bit kept sticky rounds like the whole value would.
        return ((bits >>> 1) | (bits & 1)) * 2.0;
    }

    private static double bcd(long bits, int digits) {
        long value = 0;
        for (int i = digits - 1; i >= 0; i--) {
            long digit = (bits >>> (4 * i)) & 0xF;
            if (digit > 9) {
                return Double.NaN;
            }
            value = value * 10 + digit;
        }
        return value;
    }

    private Reading time(SignalId id, long bits, Moment at) {
        for (long code : noValueRaw) {
            if (code == bits) {
                return none(id, QualityReason.NO_VALUE, at);
            }
        }
        return type == ValueType.UNIX_SECONDS
                ? TimeDecoder.ofSeconds(id, bits, at)
                : TimeDecoder.ofMillis(id, bits, at);
    }

    private Reading text(SignalId id, RawBlock raw, Moment at) {
        StringBuilder text = new StringBuilder(2 * cells);
        boolean printable = true;
        boolean ended = false;
        for (int i = 0; i < cells && !ended; i++) {
            int cell = raw.cell(start + i);
            for (int half = 0; half < 2 && !ended; half++) {
                boolean high = (half == 0) != bytesSwapped;
                int character = high ? cell >> 8 : cell & 0xFF;
                if (character == 0) {
                    ended = true;
                } else if (character < 0x20 || character > 0x7E) {
                    printable = false;
                    text.append('?');
                } else {
                    text.append((char) character);
                }
            }
        }
        String stripped = text.toString().strip();
        if (stripped.isEmpty()) {
            return none(id, QualityReason.NO_VALUE, at);
        }
        return new Reading(id, null, stripped, printable ? QualityReason.NONE : QualityReason.OUTSIDE_RANGE, at);
    }

    private static Reading none(SignalId id, QualityReason reason, Moment at) {
        return new Reading(id, null, null, reason, at);
    }
}
