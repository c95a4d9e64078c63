package oilbird.mapping.map;

import java.math.BigDecimal;
import java.math.BigInteger;
import java.math.MathContext;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.mapping.address.Address;
import oilbird.mapping.address.Node;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.WordOrder;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.YamlList;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import oilbird.mapping.text.YamlScalar;
import org.jspecify.annotations.Nullable;

/** Reads the section {@code points}. */
final class PointReader {
    private static final List<String> ONLY_FOR_NUMBERS =
            List.of("scale", "offset", "unit", "range", "no_value_scaled", "current_loop", "sensor", "frozen_after");

    private static final Pattern CONDITION =
            Pattern.compile("(not )?bit ([0-9]{1,2}) of ([a-z][a-z0-9]*(?:-[a-z0-9]+)*)");

    private static final List<TimeField> USUAL_FIELDS =
            List.of(TimeField.YEAR, TimeField.MONTH, TimeField.DAY, TimeField.HOUR, TimeField.MINUTE, TimeField.SECOND);
    private static final List<TimeField> NEEDED_FIELDS =
            List.of(TimeField.YEAR, TimeField.MONTH, TimeField.DAY, TimeField.HOUR, TimeField.MINUTE);

    private final MapText text;

    PointReader(MapText text) {
        this.text = text;
    }

    List<Point> read(YamlMapping section) {
        List<Point> points = new ArrayList<>();
        for (YamlMapping.Entry entry : section.entries()) {
            text.takeName(entry.key(), "point", entry.keyPosition());
            Point point = point(entry.key(), entry.value().asMapping());
            if (point != null) {
                points.add(point);
            }
        }
        checkGroups(section);
        checkCounters(section, points);
        return points;
    }

    private @Nullable Point point(String name, YamlMapping of) {
        NodeReader nodes = text.nodes;
        NodeReader.checkKeys(text, of, nodes != null);
        ValueType type;
        WordOrder order = WordOrder.ABCD;
        List<TimeField> fields = List.of();
        String pollClass;
        Address address;
        Position at;
        if (nodes != null) {
            type = nodeType(of);
            pollClass = text.pollClass(of, null);
            address = nodes.node(of, pollClass);
            at = of.valuePosition("node");
        } else {
            MapText.Located located = text.locate(of);
            type = type(of, located);
            order = order(of, type);
            fields = fields(of, type);
            int cells = cells(of, type, fields);
            address = located == null || cells == 0 ? null : text.place(located, cells);
            pollClass = text.pollClass(of, address instanceof Place place ? place : null);
            at = located == null ? of.position() : located.at();
        }
        for (String key : ONLY_FOR_NUMBERS) {
            if (!type.numeric() && of.has(key)) {
                text.problems.error(
                        of.keyPosition(key),
                        "`" + key + "` makes no sense for the type " + written(type),
                        "delete it, or correct the type");
            }
        }
        double scale = of.decimal("scale", 1);
        if (scale == 0 && !text.problems.isMisshapen(of.valuePosition("scale"))) {
            text.problems.error(of.valuePosition("scale"), "with a scale of 0 every reading is the same", "correct it");
            scale = 1;
        }
        double offset = of.decimal("offset", 0);
        String unit = unit(of);
        CurrentLoop loop = loop(of, type, scale, offset);
        Sensor sensor = sensor(of, type, unit);
        Range plausible = range(of, type, scale, offset, loop, sensor);
        String words = of.text("text");
        List<Long> noValueRaw = noValueRaw(of, type);
        List<Double> noValueScaled = numbers(of.get("no_value_scaled")).stream()
                .map(YamlNode::asDecimal)
                .toList();
        UpdatePeriod update = update(of);
        Duration frozenAfter = frozenAfter(of, update);
        Verification verified = text.verification(of, text.verified);
        if (address == null) {
            return null;
        }
        if (address instanceof Place place) {
            text.occupy(name, place, pollClass, at);
        } else if (nodes != null && address instanceof Node node) {
            nodes.occupy(name, node, pollClass, type == ValueType.SOURCE_TIME || type == ValueType.SERVER_TIME, at);
        }
        return new Point(
                name,
                words,
                address,
                type,
                order,
                fields,
                scale,
                offset,
                unit,
                plausible,
                noValueRaw,
                noValueScaled,
                loop,
                sensor,
                null,
                update,
                frozenAfter,
                pollClass,
                of.textOrNull("group"),
                of.textOrNull("semantic"),
                verified);
    }

    private ValueType type(YamlMapping of, MapText.@Nullable Located located) {
        boolean bits = located != null && located.table().bits();
        if (!of.has("type")) {
            if (located != null && !bits) {
                of.error("the key `type` is missing", "add type: with how the registers are coded, for example uint16");
            }
            return bits ? ValueType.BIT : ValueType.UINT16;
        }
        ValueType type = of.choice("type", ValueType.class);
        if (text.problems.isMisshapen(of.valuePosition("type")) || located == null) {
            return bits ? ValueType.BIT : ValueType.UINT16;
        }
        if (!type.ofCells()) {
            text.problems.error(
                    of.valuePosition("type"),
                    "the type " + written(type) + " belongs to OPC UA",
                    "write how the registers are coded, for example uint16");
            return bits ? ValueType.BIT : ValueType.UINT16;
        }
        if (bits && type != ValueType.BIT) {
            text.problems.error(
                    of.valuePosition("type"),
                    "a coil or discrete input is one bit, not " + written(type),
                    "write type: bit, or correct the table");
            return ValueType.BIT;
        }
        if (!bits && type == ValueType.BIT) {
            text.problems.error(
                    of.valuePosition("type"),
                    "a register is not one bit",
                    "describe it under words and name the bit there, or correct the table");
            return ValueType.UINT16;
        }
        return type;
    }

    private ValueType nodeType(YamlMapping of) {
        ValueType type = of.has("type") ? of.choice("type", ValueType.class) : ValueType.NUMBER;
        if (!type.ofNode() && !text.problems.isMisshapen(of.valuePosition("type"))) {
            text.problems.error(
                    of.valuePosition("type"),
                    "the type " + written(type) + " belongs to registers; a node says itself how its value is coded",
                    "write number, bit, text, date-time, source-time or server-time");
            return ValueType.NUMBER;
        }
        return text.problems.isMisshapen(of.valuePosition("type")) ? ValueType.NUMBER : type;
    }

    /** What a date and time in parts consists of; empty for other types and after a mistake that was told. */
    private List<TimeField> fields(YamlMapping of, ValueType type) {
        if (!type.inFields()) {
            if (of.has("fields")) {
                text.problems.error(
                        of.keyPosition("fields"),
                        "`fields` makes no sense for the type " + written(type),
                        "delete it, or correct the type");
            }
            return List.of();
        }
        if (!of.has("fields")) {
            return USUAL_FIELDS;
        }
        List<TimeField> fields = new ArrayList<>();
        for (YamlNode node : of.list("fields").items()) {
            TimeField field = node.asChoice(TimeField.class);
            if (text.problems.isMisshapen(node.position())) {
                return List.of();
            }
            if (field != TimeField.UNUSED && fields.contains(field)) {
                node.error("the field " + written(field) + " comes twice", "correct one of the two");
            }
            fields.add(field);
        }
        for (TimeField needed : NEEDED_FIELDS) {
            if (!fields.contains(needed)) {
                text.problems.error(
                        of.valuePosition("fields"),
                        "there is no " + written(needed) + " among the fields",
                        "add it where it comes; unused stands for what says nothing of the time");
            }
        }
        return fields;
    }

    private WordOrder order(YamlMapping of, ValueType type) {
        WordOrder order = WordOrders.read(of);
        if (type == ValueType.DATE_TIME_REGISTERS && of.has("order")) {
            text.problems.error(
                    of.keyPosition("order"),
                    "`order` makes no sense for the type " + written(type),
                    "delete it, and write the fields in the order of the registers");
        }
        if (type == ValueType.TEXT && order.lowWordFirst()) {
            text.problems.error(
                    of.valuePosition("order"),
                    "the registers of a text come in order",
                    "write ABCD, or BADC where the second character is in the high byte");
        }
        return order;
    }

    private int cells(YamlMapping of, ValueType type, List<TimeField> fields) {
        if (type == ValueType.TEXT) {
            if (!of.has("length")) {
                of.error("the key `length` is missing", "add length: with the number of characters of the text");
                return 0;
            }
            long length = of.whole("length");
            return text.problems.isMisshapen(of.valuePosition("length")) ? 0 : (int) ((length + 1) / 2);
        }
        if (of.has("length")) {
            text.problems.error(
                    of.keyPosition("length"),
                    "`length` makes no sense for the type " + written(type) + ", which has a length of its own",
                    "delete it, or correct the type");
        }
        return switch (type) {
            case BIT -> 1;
            case DATE_TIME_REGISTERS -> fields.size();
            case DATE_TIME_BCD -> (fields.size() + 1) / 2;
            default -> type.registers();
        };
    }

    private String unit(YamlMapping of) {
        String unit = of.text("unit", "");
        if (of.has("unit") && !text.problems.isMisshapen(of.valuePosition("unit")) && !Unit.isKnown(unit)) {
            text.problems.error(of.valuePosition("unit"), "the unit `" + unit + "` is not known", Unit.remedy(unit));
        }
        return unit;
    }

    private @Nullable CurrentLoop loop(YamlMapping of, ValueType type, double scale, double offset) {
        if (!of.has("current_loop") || !type.numeric()) {
            return null;
        }
        YamlMapping given = of.mapping("current_loop");
        CurrentLoop loop = new CurrentLoop(given.decimal("at_4_ma"), given.decimal("at_20_ma"));
        if (isGiven(given, "at_4_ma") && isGiven(given, "at_20_ma") && loop.at4mA() == loop.at20mA()) {
            given.error("4 mA and 20 mA mean the same reading", "correct at_4_ma or at_20_ma");
        }
        Range reachable = reachable(type, scale, offset);
        if (reachable.high() < 20) {
            text.problems.error(
                    of.keyPosition("current_loop"),
                    "the scaled value never reaches 20 mA, at most " + shown(reachable.high()),
                    "correct scale and offset, so that they give mA");
        } else if (type.integer() && scale == 1 && offset == 0 && type.registers() == 1) {
            text.problems.warning(
                    of.keyPosition("current_loop"),
                    "the raw value is taken as whole mA",
                    "write the scale that gives mA, for example 0.001 for a raw value in uA");
        }
        return loop;
    }

    private @Nullable Sensor sensor(YamlMapping of, ValueType type, String unit) {
        if (!of.has("sensor") || !type.numeric()) {
            return null;
        }
        Sensor sensor = of.choice("sensor", Sensor.class);
        if (of.has("current_loop")) {
            text.problems.error(
                    of.keyPosition("sensor"),
                    "a value is a current or a sensor's resistance, not both",
                    "keep current_loop or sensor");
            return null;
        }
        if (!unit.equals("degC")) {
            text.problems.error(
                    of.has("unit") ? of.valuePosition("unit") : of.keyPosition("sensor"),
                    "a Pt100 gives a temperature in degC",
                    "write unit: degC; scale and offset give the resistance in ohm");
        }
        return sensor;
    }

    private @Nullable Duration frozenAfter(YamlMapping of, @Nullable UpdatePeriod update) {
        Duration after = of.durationOrNull("frozen_after");
        if (after == null || text.problems.isMisshapen(of.valuePosition("frozen_after"))) {
            return null;
        }
        if (update != null && update.counter() != null) {
            text.problems.error(
                    of.keyPosition("frozen_after"),
                    "the counter `" + update.counter() + "` says already whether the value is alive",
                    "delete frozen_after, or the counter");
        } else if (after.compareTo(update == null ? Duration.ofSeconds(1) : update.every()) < 0) {
            text.problems.error(
                    of.valuePosition("frozen_after"),
                    "a living value would seem frozen",
                    update == null ? "write at least 1 s" : "write at least the update period");
        }
        return after;
    }

    private boolean isGiven(YamlMapping of, String key) {
        return of.has(key) && !text.problems.isMisshapen(of.valuePosition(key));
    }

    private @Nullable Range range(
            YamlMapping of,
            ValueType type,
            double scale,
            double offset,
            @Nullable CurrentLoop loop,
            @Nullable Sensor sensor) {
        if (!of.has("range") || !type.numeric()) {
            return null;
        }
        List<YamlNode> ends = of.list("range").items();
        if (ends.size() != 2) {
            return null;
        }
        Range range = new Range(ends.get(0).asDecimal(), ends.get(1).asDecimal());
        if (text.problems.isMisshapen(ends.get(0).position())
                || text.problems.isMisshapen(ends.get(1).position())) {
            return null;
        }
        if (range.low() >= range.high()) {
            text.problems.error(
                    of.valuePosition("range"),
                    "the lowest plausible reading is not below the highest",
                    "write the lower first: [" + shown(range.high()) + ", " + shown(range.low()) + "]");
            return null;
        }
        Range reachable = sensor != null
                ? Pt100.RANGE
                : loop == null
                        ? reachable(type, scale, offset)
                        : new Range(
                                Math.min(loopValue(loop, 3.6), loopValue(loop, 21)),
                                Math.max(loopValue(loop, 3.6), loopValue(loop, 21)));
        if (range.low() > reachable.high() || range.high() < reachable.low()) {
            text.problems.error(
                    of.valuePosition("range"),
                    "no reading can be in the plausible range: type, scale and offset give " + shown(reachable.low())
                            + " to " + shown(reachable.high()),
                    "correct the range, the scale or the type");
        }
        return range;
    }

    private static double loopValue(CurrentLoop loop, double milliampere) {
        return loop.at4mA() + (milliampere - 4) / 16 * (loop.at20mA() - loop.at4mA());
    }

    /** Readings that the coding can express at all. */
    private static Range reachable(ValueType type, double scale, double offset) {
        double low;
        double high;
        switch (type) {
            case INT16 -> {
                low = Short.MIN_VALUE;
                high = Short.MAX_VALUE;
            }
            case UINT16 -> {
                low = 0;
                high = 65535;
            }
            case INT32 -> {
                low = Integer.MIN_VALUE;
                high = Integer.MAX_VALUE;
            }
            case UINT32 -> {
                low = 0;
                high = 4294967295.0;
            }
            case BCD16 -> {
                low = 0;
                high = 9999;
            }
            case BCD32 -> {
                low = 0;
                high = 99999999;
            }
            case UINT64 -> {
                low = 0;
                high = 0x1p64;
            }
            case INT64 -> {
                low = -0x1p63;
                high = 0x1p63;
            }
            default -> {
                low = -Double.MAX_VALUE;
                high = Double.MAX_VALUE;
            }
        }
        double a = low * scale + offset;
        double b = high * scale + offset;
        return new Range(Math.min(a, b), Math.max(a, b));
    }

    private List<Long> noValueRaw(YamlMapping of, ValueType type) {
        List<Long> patterns = new ArrayList<>();
        for (YamlNode node : numbers(of.get("no_value"))) {
            if (!(node instanceof YamlScalar scalar) || text.problems.isMisshapen(node.position())) {
                continue;
            }
            if (!type.numeric() && type != ValueType.UNIX_SECONDS && type != ValueType.UNIX_MILLISECONDS) {
                node.error(
                        "a " + written(type) + " has no raw number that means no value",
                        "delete no_value" + (type == ValueType.TEXT ? "; an empty text is no value anyway" : ""));
            } else if (type == ValueType.FLOAT32) {
                // -9999 and -9999.0 are the same code.
                patterns.add(Float.floatToIntBits((float) scalar.asDecimal()) & 0xFFFF_FFFFL);
            } else if (type == ValueType.FLOAT64 || type == ValueType.NUMBER) {
                patterns.add(Double.doubleToLongBits(scalar.asDecimal()));
            } else {
                Long pattern = pattern(scalar, type);
                if (pattern != null) {
                    patterns.add(pattern);
                }
            }
        }
        return patterns;
    }

    /** The bits of a raw whole number; a signed type may be given by its value or by its bits. */
    private @Nullable Long pattern(YamlScalar scalar, ValueType type) {
        BigInteger value = scalar.asBigWhole();
        if (text.problems.isMisshapen(scalar.position())) {
            return null;
        }
        int width = type.registers() * 16;
        boolean signed = type == ValueType.INT16 || type == ValueType.INT32 || type == ValueType.INT64;
        BigInteger lowest = signed ? BigInteger.ONE.shiftLeft(width - 1).negate() : BigInteger.ZERO;
        BigInteger highest = BigInteger.ONE.shiftLeft(width).subtract(BigInteger.ONE);
        if (value.compareTo(lowest) < 0 || value.compareTo(highest) > 0) {
            scalar.error(
                    "the raw value " + scalar.written() + " does not fit " + written(type),
                    "write " + lowest + " to " + highest + ", or use no_value_scaled for a scaled value");
            return null;
        }
        return value.longValue() & (width == 64 ? -1L : (1L << width) - 1);
    }

    private static List<YamlNode> numbers(@Nullable YamlNode oneOrMany) {
        if (oneOrMany == null) {
            return List.of();
        }
        return oneOrMany instanceof YamlList list ? list.items() : List.of(oneOrMany);
    }

    private @Nullable UpdatePeriod update(YamlMapping of) {
        if (!of.has("update")) {
            return null;
        }
        YamlMapping given = of.mapping("update");
        Duration every = given.duration("every");
        if (every.isZero() && given.has("every") && !text.problems.isMisshapen(given.valuePosition("every"))) {
            text.problems.error(given.valuePosition("every"), "an update period is longer than nothing", "correct it");
        }
        Duration staleAfter = given.duration("stale_after", every.multipliedBy(2));
        if (given.has("stale_after")
                && staleAfter.compareTo(every) < 0
                && !text.problems.isMisshapen(given.valuePosition("stale_after"))) {
            text.problems.error(
                    given.valuePosition("stale_after"),
                    "the value would be stale before the device makes the next one",
                    "write at least the update period");
        }
        return new UpdatePeriod(every, given.textOrNull("counter"), staleAfter);
    }

    /** The points with their {@code valid_when}, which speaks of words that are read later. */
    List<Point> conditions(YamlMapping section, List<Point> points, YamlMapping wordSection, List<StatusWord> words) {
        List<Point> complete = new ArrayList<>();
        for (Point point : points) {
            Point.ValidWhen condition =
                    section.get(point.name()) instanceof YamlMapping of ? condition(of, wordSection, words) : null;
            complete.add(condition == null ? point : point.validWhen(condition));
        }
        return complete;
    }

    private Point.@Nullable ValidWhen condition(YamlMapping of, YamlMapping wordSection, List<StatusWord> words) {
        String written = of.textOrNull("valid_when");
        if (written == null || text.problems.isMisshapen(of.valuePosition("valid_when"))) {
            return null;
        }
        Matcher matcher = CONDITION.matcher(written);
        if (!matcher.matches()) {
            return null;
        }
        String name = matcher.group(3);
        StatusWord word =
                words.stream().filter(w -> w.name().equals(name)).findFirst().orElse(null);
        if (word == null) {
            if (!wordSection.has(name)) {
                Set<String> known = new TreeSet<>();
                words.forEach(w -> known.add(w.name()));
                text.unknown(of.valuePosition("valid_when"), "word", name, known, "words");
            }
            return null;
        }
        WordReader.Numbered bits = new WordReader.Numbered(word.numbering(), word.width());
        int number = Integer.parseInt(matcher.group(2));
        if (bits.isOutside(number)) {
            text.problems.error(of.valuePosition("valid_when"), bits.outside(number), bits.remedy());
            return null;
        }
        return new Point.ValidWhen(name, bits.bit(number), matcher.group(1) == null);
    }

    /** A value and the bit that vouches for it must be of the same moment, so of one answer. */
    void checkConditions(YamlMapping section, DeviceMap map) {
        for (Point point : map.points()) {
            Point.ValidWhen condition = point.validWhen();
            if (condition == null || map.requests().isEmpty()) {
                continue;
            }
            boolean together = map.requests().stream()
                    .anyMatch(block -> map.pointsOf(block).contains(point)
                            && map.wordsOf(block).stream()
                                    .anyMatch(w -> w.name().equals(condition.word())));
            if (!together && section.get(point.name()) instanceof YamlMapping of) {
                text.problems.error(
                        of.valuePosition("valid_when"),
                        "`" + point.name() + "` and `" + condition.word()
                                + "` are read by different requests, so the bit may be of another moment",
                        text.nodes == null
                                ? "read both by one request under by_hand, or let an indication of that bit make the"
                                        + " point worthless"
                                : "give both the same poll class and the same by:, or let an indication of that bit"
                                        + " make the point worthless");
            }
        }
    }

    private void checkGroups(YamlMapping section) {
        for (YamlMapping.Entry entry : section.entries()) {
            if (entry.value() instanceof YamlMapping point
                    && point.has("group")
                    && section.has(point.text("group", ""))) {
                text.problems.error(
                        point.valuePosition("group"),
                        "the group `" + point.text("group", "") + "` has the name of a point",
                        "give the group another name");
            }
        }
    }

    private void checkCounters(YamlMapping section, List<Point> points) {
        Map<String, Point> byName = new LinkedHashMap<>();
        points.forEach(point -> byName.put(point.name(), point));
        for (YamlMapping.Entry entry : section.entries()) {
            if (!(entry.value() instanceof YamlMapping point)
                    || !(point.get("update") instanceof YamlMapping update)
                    || !(update.get("counter") instanceof YamlScalar counter)
                    || text.problems.isMisshapen(counter.position())) {
                continue;
            }
            Point named = byName.get(counter.written());
            if (!section.has(counter.written())) {
                Set<String> whole = new TreeSet<>();
                points.stream().filter(p -> p.type().counts()).forEach(p -> whole.add(p.name()));
                text.unknown(counter.position(), "point", counter.written(), whole, "points");
            } else if (counter.written().equals(entry.key())) {
                counter.error("a point cannot be its own counter", "name the point that changes with each new value");
            } else if (named != null && !named.type().counts()) {
                counter.error(
                        "the counter `" + named.name() + "` is not a whole number",
                        "name a point of a whole-number type");
            }
        }
    }

    private static String written(Enum<?> type) {
        return type.name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    private static String shown(double value) {
        return new BigDecimal(value, new MathContext(6)).stripTrailingZeros().toPlainString();
    }
}
