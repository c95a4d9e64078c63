package oilbird.gateway.modbus.inspect;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.Locale;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;

/** How values are printed for an integrator. */
final class Shown {
    private Shown() {}

    static String number(double value) {
        double size = Math.abs(value);
        if (!Double.isFinite(value) || size != 0 && (size < 1e-4 || size >= 1e12)) {
            return String.format(Locale.ROOT, "%.4g", value);
        }
        BigDecimal rounded = new BigDecimal(value, new MathContext(9)).stripTrailingZeros();
        return rounded.toPlainString();
    }

    static String value(Reading reading, String unit) {
        if (reading.number() != null) {
            return number(reading.number()) + (unit.isEmpty() ? "" : " " + unit);
        }
        return reading.text() == null ? "-" : "\"" + reading.text() + "\"";
    }

    /** For example {@code good} or {@code bad: outside range}. */
    static String quality(Reading reading) {
        return reading.reason() == QualityReason.NONE
                ? "good"
                : words(reading.quality()) + ": " + words(reading.reason());
    }

    static String words(Enum<?> constant) {
        return constant.name().toLowerCase(Locale.ROOT).replace('_', ' ');
    }

    /** For example {@code input registers 0 to 15}. */
    static String place(Place place) {
        String table = words(place.table());
        return place.cells() == 1
                ? table.substring(0, table.length() - 1) + " " + place.start()
                : table + " " + place.start() + " to " + (place.end() - 1);
    }

    /** The cells of a place: hexadecimal words, or bits. */
    static String raw(RawBlock block, Place place) {
        StringBuilder raw = new StringBuilder();
        for (int at = place.start(); at < place.end(); at++) {
            raw.append(raw.isEmpty() ? "" : " ").append(cell(place.table(), block.cell(at)));
        }
        return raw.toString();
    }

    static String cell(ModbusTable table, int cell) {
        return table.bits() ? Integer.toString(cell) : String.format("%04X", cell);
    }
}
