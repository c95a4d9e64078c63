package oilbird.gateway.modbus.inspect;

import java.io.PrintStream;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import oilbird.gateway.command.inspect.ExitStatus;
import oilbird.gateway.command.inspect.Shown;
import oilbird.gateway.modbus.inspect.DeviceProbe.Piece;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.WordOrder;
import oilbird.mapping.decode.FourOrders;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.Point;
import oilbird.mapping.map.Range;
import oilbird.mapping.map.ReadEffect;
import oilbird.mapping.map.ValueType;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Reading;
import org.jspecify.annotations.Nullable;

/** A range as it comes over the wire: raw words, and long values in the four word orders. */
final class RawView {
    private static final Moment NOW = new Moment(0, 0, false);

    private final DeviceProbe probe;
    private final @Nullable DeviceMap map;
    private final @Nullable Range range;
    private final PrintStream out;

    /**
     * @param range plausible values where there is no map; null for none.
     */
    RawView(DeviceProbe probe, @Nullable DeviceMap map, @Nullable Range range, PrintStream out) {
        this.probe = probe;
        this.map = map;
        this.range = range;
        this.out = out;
    }

    int show(Place asked) {
        List<ReadEffect> effects = map == null ? List.of() : map.readEffects();
        if (map == null) {
            out.println("No map was given, so nothing is known of addresses where reading has an effect.");
        }
        List<Piece> pieces = probe.read(asked, asked.table().maxQuantity(), effects);
        out.println(ShownCells.place(asked) + ", addresses as on the wire: the first is 0");
        if (!asked.table().bits()) {
            out.println("   from 0   from 1  hex   unsigned   signed");
        }
        boolean any = false;
        for (Piece piece : pieces) {
            RawBlock cells = piece.cells();
            if (cells == null) {
                out.println("  " + ShownCells.place(piece.place()) + ": " + piece.why());
                continue;
            }
            any = true;
            if (asked.table().bits()) {
                showBits(piece.place(), cells);
            } else {
                for (int at = piece.place().start(); at < piece.place().end(); at++) {
                    int cell = cells.cell(at);
                    out.printf(Locale.ROOT, "  %7d  %7d  %04X  %8d  %7d%n", at, at + 1, cell, cell, (short) cell);
                }
            }
        }
        if (any && !asked.table().bits()) {
            if (map != null) {
                showPoints(map, pieces);
            } else {
                showPairs(pieces);
            }
        }
        return any ? ExitStatus.DONE : ExitStatus.DID_NOT_WORK;
    }

    private void showBits(Place place, RawBlock cells) {
        for (int from = place.start(); from < place.end(); from += 16) {
            StringBuilder row = new StringBuilder();
            for (int at = from; at < Math.min(place.end(), from + 16); at++) {
                row.append(at % 8 == from % 8 && at != from ? "  " : " ").append(cells.cell(at));
            }
            out.printf(Locale.ROOT, "  %7d %s%n", from, row);
        }
    }

    /** Each long value of the map inside the range, with the orders that its range allows. */
    private void showPoints(DeviceMap of, List<Piece> pieces) {
        List<Point> points = of.points().stream()
                .filter(p -> p.type().registers() > 1 && p.type().numeric())
                .toList();
        if (points.isEmpty()) {
            return;
        }
        out.println("Values of the map in the four word orders; * marks what is plausible by the map's range");
        for (Point point : points) {
            piece(pieces, point.place()).ifPresent(cells -> showPoint(point, cells));
        }
    }

    private void showPoint(Point point, RawBlock cells) {
        List<FourOrders.Candidate> candidates = FourOrders.of(point, cells, NOW);
        out.println("  " + point.name() + " (" + Shown.words(point.type()) + ", " + ShownCells.place(point.place())
                + ") " + ShownCells.raw(cells, point.place()));
        out.println("      " + columns(candidates, point.unit()));
        List<WordOrder> plausible = new ArrayList<>();
        candidates.stream().filter(FourOrders.Candidate::plausible).forEach(c -> plausible.add(c.order()));
        if (point.plausible() == null) {
            out.println("      the map gives no range: to tell them apart, add one");
        } else if (plausible.isEmpty()) {
            out.println("      none is plausible: look at the address and the type");
        } else if (plausible.equals(List.of(point.order()))) {
            out.println("      the map's " + point.order() + " alone is plausible");
        } else if (!plausible.contains(point.order())) {
            out.println("      the map says " + point.order() + ", plausible is "
                    + String.join(" or ", plausible.stream().map(Enum::name).toList()) + ": correct order in the map");
        } else {
            out.println("      several are plausible: compare with the local display");
        }
    }

    /** Without a map: every two neighbours as a number. */
    private void showPairs(List<Piece> pieces) {
        out.println(
                range == null
                        ? "Two neighbours as one value, in the four word orders"
                        : "Two neighbours as one value, in the four word orders; * marks what lies in the range");
        for (Piece piece : pieces) {
            RawBlock cells = piece.cells();
            for (int at = piece.place().start();
                    cells != null && at + 1 < piece.place().end();
                    at++) {
                Place place = new Place(piece.place().table(), at, 2);
                for (ValueType type : List.of(ValueType.FLOAT32, ValueType.INT32)) {
                    List<FourOrders.Candidate> candidates = FourOrders.of(unnamed(place, type), cells, NOW);
                    out.printf(
                            Locale.ROOT,
                            "  %7d  %s  %-7s  %s%n",
                            at,
                            ShownCells.raw(cells, place),
                            Shown.words(type),
                            columns(candidates, ""));
                }
            }
        }
    }

    private Point unnamed(Place place, ValueType type) {
        return new Point(
                "value",
                "value",
                place,
                type,
                WordOrder.ABCD,
                List.of(),
                1,
                0,
                "",
                range,
                List.of(),
                List.of(),
                null,
                null,
                null,
                null,
                null,
                "",
                null,
                null,
                null);
    }

    private static String columns(List<FourOrders.Candidate> candidates, String unit) {
        StringBuilder row = new StringBuilder();
        for (FourOrders.Candidate candidate : candidates) {
            Reading reading = candidate.reading();
            row.append(String.format(
                    Locale.ROOT,
                    "%s %-18s ",
                    candidate.order(),
                    (candidate.plausible() ? "*" : "") + Shown.value(reading, unit)));
        }
        return row.toString().stripTrailing();
    }

    /** The answer that holds the whole place; a value that two requests tore is not shown. */
    private static Optional<RawBlock> piece(List<Piece> pieces, Place place) {
        for (Piece piece : pieces) {
            RawBlock cells = piece.cells();
            if (cells != null && cells.block().covers(place.table(), place.start(), place.cells())) {
                return Optional.of(cells);
            }
        }
        return Optional.empty();
    }
}
