package oilbird.mapping.map;

import java.time.Duration;
import java.time.LocalDate;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.Suggestion;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import oilbird.mapping.text.YamlScalar;
import org.jspecify.annotations.Nullable;

/** What the readers of a map's sections share: the address base, poll classes, names already taken. */
final class MapText {
    private static final Map<String, ModbusTable> TABLES = tables();

    final Problems problems;
    final boolean oneBased;
    final Map<String, Duration> pollClasses;
    final @Nullable Verification verified;
    /** Null for a Modbus device. */
    final @Nullable NodeReader nodes;
    /** Requests set by hand, in file order; filled before points and words are read. */
    final List<ReadBlock> byHand = new ArrayList<>();

    private final Map<String, Taken> names = new LinkedHashMap<>();
    private final List<Occupied> occupied = new ArrayList<>();

    private record Taken(String kind, Position at) {}

    /** A place that a point or word takes. */
    record Occupied(String name, Place place, String pollClass, Position at) {}

    /** The first address of something, checked to be one. */
    record Located(ModbusTable table, int address, Position at) {}

    MapText(YamlMapping root) {
        this.problems = root.problems();
        this.oneBased = root.has("addresses") && root.text("addresses", "").equals("one-based");
        this.pollClasses = readPollClasses(root.mapping("poll_classes"));
        this.verified = verification(root, null);
        this.nodes = root.has("opc_ua") ? new NodeReader(this, root) : null;
    }

    private static Map<String, ModbusTable> tables() {
        Map<String, ModbusTable> tables = new LinkedHashMap<>();
        tables.put("coil", ModbusTable.COILS);
        tables.put("discrete_input", ModbusTable.DISCRETE_INPUTS);
        tables.put("holding_register", ModbusTable.HOLDING_REGISTERS);
        tables.put("input_register", ModbusTable.INPUT_REGISTERS);
        return tables;
    }

    private static Map<String, Duration> readPollClasses(YamlMapping classes) {
        Map<String, Duration> read = new LinkedHashMap<>();
        for (YamlMapping.Entry entry : classes.entries()) {
            Duration period = entry.value().asDuration();
            if (period.compareTo(Duration.ofMillis(10)) < 0
                    && !classes.problems().isMisshapen(entry.value().position())) {
                entry.value().error("the poll period is too short", "write at least 10 ms");
            }
            read.put(entry.key(), period);
        }
        return read;
    }

    /** Takes a name in the one name space of readings, words and indications. */
    void takeName(String name, String kind, Position at) {
        Taken first = names.putIfAbsent(name, new Taken(kind, at));
        if (first != null) {
            problems.error(
                    at,
                    "the name `" + name + "` is already that of a " + first.kind() + " in line "
                            + first.at().line(),
                    "give one of the two another name; points, fields, words and indications share their names");
        }
    }

    /** The first address; null after a mistake that was told. */
    @Nullable
    Located locate(YamlMapping of) {
        List<String> given = TABLES.keySet().stream().filter(of::has).toList();
        if (given.isEmpty() && of.has("node")) {
            return null;
        }
        if (given.isEmpty()) {
            of.error(
                    "no address is given",
                    "add one of coil:, discrete_input:, holding_register:, input_register: with the first address");
            return null;
        }
        if (given.size() > 1) {
            problems.error(
                    of.keyPosition(given.get(1)),
                    "two addresses are given, " + String.join(" and ", given),
                    "keep one of them");
            return null;
        }
        String key = given.get(0);
        ModbusTable table = TABLES.getOrDefault(key, ModbusTable.COILS);
        Position at = of.valuePosition(key);
        long written = of.whole(key);
        if (problems.isMisshapen(at)) {
            return null;
        }
        if (oneBased && written == 0) {
            problems.error(
                    at, "address 0 does not exist in a one-based list", "write 1 to 65536, or addresses: zero-based");
            return null;
        }
        long address = oneBased ? written - 1 : written;
        if (address > 65535) {
            problems.error(at, "address " + written + " is past the last", "write 0 to 65535, or addresses: one-based");
            return null;
        }
        if ((table == ModbusTable.HOLDING_REGISTERS && written > 40000 && written < 50000)
                || (table == ModbusTable.INPUT_REGISTERS && written > 30000 && written < 40000)) {
            problems.warning(
                    at,
                    written + " looks like a register number whose first digit names the table",
                    "if so, write " + (written % 10000 - (oneBased ? 0 : 1)));
        }
        return new Located(table, (int) address, at);
    }

    /** The cells from an address; null after a mistake that was told. */
    @Nullable
    Place place(Located first, int cells) {
        if (first.address() + cells > 65536) {
            problems.error(
                    first.at(),
                    cells + " from address " + first.address() + " run past the last address, 65535",
                    "correct the address or the length");
            return null;
        }
        return new Place(first.table(), first.address(), cells);
    }

    /** The poll class that is named, that of a hand-set request around the place, or the first. */
    String pollClass(YamlMapping of, @Nullable Place place) {
        String first =
                pollClasses.isEmpty() ? "" : pollClasses.keySet().iterator().next();
        String named = of.textOrNull("poll");
        if (named == null) {
            return place == null
                    ? first
                    : byHand.stream()
                            .filter(block -> block.covers(place.table(), place.start(), place.cells()))
                            .map(ReadBlock::pollClass)
                            .findFirst()
                            .orElse(first);
        }
        if (!pollClasses.containsKey(named) && !problems.isMisshapen(of.valuePosition("poll"))) {
            unknown(of.valuePosition("poll"), "poll class", named, pollClasses.keySet(), "poll_classes");
            return first;
        }
        return named;
    }

    void unknown(Position at, String kind, String name, Set<String> known, String section) {
        String remedy = Suggestion.closest(name, known)
                .map(close -> "did you mean " + close + "?")
                .orElse("describe it under " + section + ", or write another name");
        problems.error(at, "there is no " + kind + " `" + name + "`", remedy);
    }

    @Nullable
    Verification verification(YamlMapping of, @Nullable Verification inherited) {
        YamlNode given = of.get("verified");
        if (given == null) {
            return inherited;
        }
        if (given instanceof YamlScalar scalar && scalar.kind() == YamlScalar.Kind.TRUTH) {
            if (scalar.asTruth()) {
                scalar.error("true does not say who compared, and when", "write {by: ..., on: 2026-03-31}");
            }
            return null;
        }
        YamlMapping mapping = given.asMapping();
        String by = mapping.text("by");
        String on = mapping.text("on");
        Position at = mapping.valuePosition("on");
        if (!mapping.has("on") || problems.isMisshapen(at)) {
            return null;
        }
        try {
            return new Verification(by, LocalDate.parse(on));
        } catch (DateTimeParseException noSuchDay) {
            problems.error(at, "there is no day `" + on + "`", "write year, month and day, for example 2026-03-31");
            return null;
        }
    }

    /** Notes what a point or word takes, and tells an overlap with an earlier one. */
    void occupy(String name, Place place, String pollClass, Position at) {
        for (Occupied other : occupied) {
            if (other.place().overlaps(place)) {
                problems.error(
                        at,
                        "`" + name + "` (" + cells(place) + ") overlaps with `" + other.name() + "` ("
                                + cells(other.place()) + ") of line "
                                + other.at().line(),
                        "correct one of the two addresses or types");
                break;
            }
        }
        occupied.add(new Occupied(name, place, pollClass, at));
    }

    List<Occupied> occupied() {
        return occupied;
    }

    /** How the file counts: the written form of the cells of a place. */
    String cells(Place place) {
        int shift = oneBased ? 1 : 0;
        int first = place.start() + shift;
        return place.cells() == 1 ? Integer.toString(first) : first + " to " + (first + place.cells() - 1);
    }
}
