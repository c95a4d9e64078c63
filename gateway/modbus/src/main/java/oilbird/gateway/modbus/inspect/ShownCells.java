package oilbird.gateway.modbus.inspect;

import oilbird.gateway.command.inspect.Shown;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.RawBlock;

/** How registers and bits are printed for an integrator. */
final class ShownCells {
    private ShownCells() {}

    /** For example {@code input registers 0 to 15}. */
    static String place(Place place) {
        String table = Shown.words(place.table());
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
