package oilbird.mapping.draft;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.mapping.draft.CommaTable.Cell;
import oilbird.mapping.draft.CommaTable.Row;
import oilbird.mapping.map.Unit;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.YamlText;
import org.jspecify.annotations.Nullable;

/** Reads one point list; what it does not say is assumed and told, once for all rows that lack it. */
final class ListReader {
    private static final Pattern ADDRESS = Pattern.compile(
            "(0[xX][0-9a-fA-F]{1,4}|[0-9a-fA-F]{1,4}[hH]|[0-9]{1,6})(?:[.:/]([0-9]{1,2}))?(?: *(?:-|to|\\.\\.) *([0-9]{1,6}))?");
    private static final Pattern NUMBER = Pattern.compile("[-+]?[0-9]+(?:[.,][0-9]+)?(?:[eE][-+]?[0-9]{1,2})?");
    private static final Pattern FRACTION = Pattern.compile("1? */ *([0-9]{1,9})");
    private static final Pattern SPAN =
            Pattern.compile("(" + NUMBER + ") *(?:\\.\\.\\.?|to|/|\u2026|-|\u2013) *(" + NUMBER + ").*");
    private static final Pattern UNUSED = Pattern.compile("(?i)spare|reserved|not used|unused|n/?a|-");
    private static final int MOST_BITS = 64;

    private final String fileName;
    private final String mapName;
    private final boolean oneBased;
    private final Problems problems = new Problems();
    private final Map<ListColumn, Integer> columns = new EnumMap<>(ListColumn.class);
    private final Map<String, Assumed> assumed = new LinkedHashMap<>();
    private final DraftText draft = new DraftText();
    /** Table and address of the registers whose single bits have rows of their own. */
    private final Set<String> withBits = new LinkedHashSet<>();

    private static final class Assumed {
        final Position first;
        final String remedy;
        int rows;

        Assumed(Position first, String remedy) {
            this.first = first;
            this.remedy = remedy;
        }
    }

    /**
     * Where a row says that its value is.
     *
     * @param number as the map will write it.
     * @param cells stated by the row; 0 where it is not.
     * @param bit -1 for none.
     * @param notation true where the number's first digit named the table.
     */
    private record Place(String table, int number, int cells, int bit, boolean notation) {}

    ListReader(String fileName, String mapName, boolean oneBased) {
        this.fileName = fileName;
        this.mapName = mapName;
        this.oneBased = oneBased;
    }

    MapDraft read(String list) {
        List<Row> rows = CommaTable.read(fileName, list, problems).rows();
        int heading = heading(rows);
        if (heading < 0) {
            problems.error(
                    new Position(fileName, 1, 1),
                    "no row of headings was found that names a column of addresses",
                    "name the columns, for example: address, name, type, scale, unit");
        }
        if (problems.refused()) {
            return new MapDraft("", problems.list());
        }
        boolean zero = false;
        boolean notation = false;
        boolean plain = false;
        List<Integer> usable = new ArrayList<>();
        List<Place> places = new ArrayList<>();
        for (int i = heading + 1; i < rows.size(); i++) {
            Place place = place(rows.get(i));
            if (place != null) {
                zero |= !place.notation() && place.number() == 0;
                notation |= place.notation();
                plain |= !place.notation();
                usable.add(i);
                places.add(place);
                if (place.bit() >= 0) {
                    withBits.add(place.table() + " " + place.number());
                }
            }
        }
        draft.oneBased = notation || oneBased;
        tellBase(zero, notation, plain, rows.get(heading));
        for (int i = 0; i < usable.size(); i++) {
            take(rows.get(usable.get(i)), places.get(i));
        }
        if (draft.isEmpty()) {
            problems.error(
                    new Position(fileName, rows.get(heading).line(), 1),
                    "no row below the headings could be used",
                    "see the other remarks");
            return new MapDraft("", problems.list());
        }
        assumed.forEach((what, where) -> problems.warning(
                where.first, what + (where.rows == 1 ? "" : " (" + where.rows + " rows)"), where.remedy));
        return new MapDraft(draft.yaml(fileName, mapName), problems.list());
    }

    private int heading(List<Row> rows) {
        for (int i = 0; i < rows.size(); i++) {
            columns.clear();
            List<Cell> cells = rows.get(i).cells();
            for (int c = 0; c < cells.size(); c++) {
                ListColumn column = ListColumn.of(cells.get(c).text());
                if (column != null) {
                    columns.putIfAbsent(column, c);
                }
            }
            if (columns.containsKey(ListColumn.ADDRESS) && columns.size() >= 2) {
                for (Cell cell : cells) {
                    if (!cell.text().isEmpty() && ListColumn.of(cell.text()) == null) {
                        problems.warning(
                                cell.position(),
                                "the column " + shown(cell.text()) + " is not used",
                                "if it says something of the points, carry it over by hand");
                    }
                }
                return i;
            }
        }
        return -1;
    }

    private void tellBase(boolean zero, boolean notation, boolean plain, Row heading) {
        Position at = cell(heading, ListColumn.ADDRESS).position();
        if (notation && plain) {
            problems.error(
                    at,
                    "some addresses name their table by the first digit (40001) and some do not",
                    "write them all one way; the draft counts all from one");
        } else if (notation) {
            problems.warning(
                    at,
                    "the first digit of the addresses was taken for the table (40001 is the first holding register)",
                    "compare one value by inspect --read; the draft says addresses: one-based");
        } else if (oneBased && zero) {
            problems.error(at, "the list has an address 0, so it does not count from one", "leave out --one-based");
        } else if (!oneBased && !zero) {
            problems.warning(
                    at,
                    "the list does not say whether its first address is 0 or 1; 0 was assumed",
                    "compare one value by inspect --read; where it is off by one write addresses: one-based");
        }
    }

    private Cell cell(Row row, ListColumn column) {
        Integer index = columns.get(column);
        return index == null || index >= row.cells().size()
                ? new Cell("", new Position(fileName, row.line(), 1))
                : row.cells().get(index);
    }

    private String text(Row row, ListColumn column) {
        return cell(row, column).text();
    }

    private @Nullable Place place(Row row) {
        Cell cell = cell(row, ListColumn.ADDRESS);
        if (cell.text().isEmpty()) {
            problems.warning(
                    new Position(fileName, row.line(), 1),
                    "the row has no address and was left out: "
                            + shown(row.cells().stream()
                                    .map(Cell::text)
                                    .filter(t -> !t.isEmpty())
                                    .findFirst()
                                    .orElse("")),
                    "nothing to do for a heading; give a value its address");
            return null;
        }
        String access = text(row, ListColumn.ACCESS).toLowerCase(Locale.ROOT).replaceAll("[^a-z]", "");
        if (access.equals("w") || access.equals("wo") || access.startsWith("write")) {
            problems.warning(
                    cell(row, ListColumn.ACCESS).position(),
                    "the row is only for writing and was left out",
                    "nothing to do: a monitor is never written to");
            return null;
        }
        Matcher matcher = ADDRESS.matcher(cell.text());
        if (!matcher.matches()) {
            problems.error(
                    cell.position(),
                    shown(cell.text()) + " is not an address; the row was left out",
                    "write a number, decimal or as 0x1F");
            return null;
        }
        String digits = matcher.group(1);
        boolean hexadecimal = digits.startsWith("0x") || digits.startsWith("0X") || digits.matches(".*[hH]");
        int number =
                hexadecimal ? Integer.parseInt(digits.replaceAll("^0[xX]|[hH]$", ""), 16) : Integer.parseInt(digits);
        String table = table(row);
        boolean notation = false;
        if (!hexadecimal && (digits.length() == 5 || digits.length() == 6)) {
            int base = digits.length() == 5 ? 10_000 : 100_000;
            String named = switch (number / base) {
                case 0 -> "coil";
                case 1 -> "discrete_input";
                case 3 -> "input_register";
                case 4 -> "holding_register";
                default -> "";
            };
            boolean fits = !named.isEmpty() && number % base != 0 && (table.isEmpty() || table.equals(named));
            // A leading zero is written for a reason; 10001 is more often a plain address than a discrete input.
            if (fits && (number / base > 1 || digits.startsWith("0") || table.equals(named))) {
                notation = true;
                table = named;
                number %= base;
            }
        }
        if (number > 65536 || (number > 65535 && !oneBased && !notation)) {
            problems.error(
                    cell.position(), "the address " + number + " is past the last; the row was left out", "correct it");
            return null;
        }
        if (table.isEmpty()) {
            table = "holding_register";
            assume(
                    row,
                    ListColumn.ADDRESS,
                    "the list does not say in which table the value is; holding_register was assumed",
                    "write input_register, discrete_input or coil where the device answers there");
        }
        int cells = 0;
        if (matcher.group(3) != null) {
            int last = Integer.parseInt(matcher.group(3));
            int first = Integer.parseInt(hexadecimal ? "0" : digits);
            cells = !hexadecimal && last > first && last - first < 125 ? last - first + 1 : 0;
        }
        return new Place(table, number, cells, bit(row, matcher.group(2)), notation);
    }

    private int bit(Row row, @Nullable String afterPoint) {
        String written = text(row, ListColumn.BIT);
        if (written.isEmpty() && afterPoint != null) {
            written = afterPoint;
        }
        Matcher bit = Pattern.compile("(?i)(?:bit)? *([0-9]{1,2})").matcher(written);
        if (bit.matches()) {
            return Integer.parseInt(bit.group(1));
        }
        if (!written.isEmpty()) {
            problems.warning(
                    cell(row, ListColumn.BIT).position(),
                    "`" + YamlText.comment(written) + "` is not one bit; the row was taken for a value",
                    "describe a number of several bits as a field in the word's bits");
        }
        return -1;
    }

    /** Empty where the row does not say. */
    private String table(Row row) {
        String written = text(row, ListColumn.TABLE).toLowerCase(Locale.ROOT);
        String plain = written.replaceAll("[^a-z0-9]", "");
        if (plain.matches("(fc|function|f|0x|x)?0?1") || plain.contains("coil") || plain.equals("0x")) {
            return "coil";
        }
        if (plain.matches("(fc|function|f|0x|x)?0?2") || plain.contains("discrete") || plain.equals("1x")) {
            return "discrete_input";
        }
        if (plain.matches("(fc|function|f|0x|x)?0?4")
                || plain.contains("inputregister")
                || plain.equals("input")
                || plain.equals("ir")
                || plain.equals("3x")) {
            return "input_register";
        }
        if (plain.matches("(fc|function|f|0x|x)?0?3")
                || plain.contains("holding")
                || plain.equals("hr")
                || plain.equals("4x")) {
            return "holding_register";
        }
        return "";
    }

    private void take(Row row, Place place) {
        String text = text(row, ListColumn.TEXT);
        String name = text(row, ListColumn.NAME);
        String words = text.isEmpty() ? name : text;
        if (words.isEmpty()) {
            words = "register " + place.number();
            assume(row, ListColumn.ADDRESS, "the list does not say what the value is", "write a name and a text");
        }
        boolean bits = place.table().equals("coil") || place.table().equals("discrete_input");
        String written = text(row, ListColumn.TYPE);
        ListType type = ListType.of(written);
        if (bits) {
            draft.addContact(
                    place.table(), place.number(), name.isEmpty() ? words : name, words, isUnused(words, name));
        } else if (place.bit() >= 0) {
            if (place.bit() >= MOST_BITS) {
                problems.error(
                        cell(row, ListColumn.BIT).position(),
                        "there is no bit " + place.bit() + " in a word; the row was left out",
                        "correct it");
                return;
            }
            assume(
                    row,
                    ListColumn.BIT,
                    "the list does not say which bit is the least significant; the lowest number was assumed",
                    "compare one bit by inspect --map; write bit_numbering: msb-0 or msb-1 where it is the highest");
            draft.addBit(
                    place.table(),
                    place.number(),
                    place.bit(),
                    name.isEmpty() ? words : name,
                    words,
                    isUnused(words, name));
        } else if (withBits.contains(place.table() + " " + place.number())) {
            // The row of the whole word gives it its name.
            draft.addPoint(name.isEmpty() ? words : name, new DraftText.Entry(words), place.table(), place.number());
        } else if (!isUnused(words, name)) {
            point(row, place, name.isEmpty() ? words : name, words, written, type);
        }
    }

    private static boolean isUnused(String words, String name) {
        return UNUSED.matcher(words).matches() || UNUSED.matcher(name).matches();
    }

    private void point(Row row, Place place, String name, String words, String written, @Nullable ListType found) {
        DraftText.Entry entry = new DraftText.Entry(words);
        entry.add(place.table(), Integer.toString(place.number()));
        BigDecimal stated = number(text(row, ListColumn.LENGTH));
        int length = stated == null ? place.cells() : stated.intValue();
        ListType type = found;
        if (type != null && type.isBit()) {
            assume(
                    row,
                    ListColumn.TYPE,
                    "the list calls a register a bit but not which one; the whole register was taken as a value",
                    "describe it under words and name the bit there");
            type = new ListType("uint16", 1);
        }
        if (type == null) {
            type = length == 2
                    ? new ListType("uint32", 2)
                    : length == 4 ? new ListType("uint64", 4) : new ListType("uint16", 1);
            assume(
                    row,
                    ListColumn.TYPE,
                    (written.isEmpty()
                                    ? "the list does not say how the value is coded"
                                    : "the type " + shown(written) + " is not known")
                            + "; " + type.written() + " was assumed",
                    "see the raw words by inspect --read and correct the type");
        }
        if (written.toLowerCase(Locale.ROOT).matches(".*(bit ?(field|mask|map)|flags|enum).*")) {
            assume(
                    row,
                    ListColumn.TYPE,
                    "the list does not say what the single bits or numbers of a packed value mean",
                    "describe it under words with its bits or fields, instead of as a point");
        }
        entry.add("type", type.written());
        if (type.isText()) {
            Matcher characters = Pattern.compile(".*?([0-9]{1,3}).*").matcher(written);
            int size = characters.matches() ? Integer.parseInt(characters.group(1)) : length > 0 ? 2 * length : 16;
            if (!characters.matches()) {
                assume(
                        row,
                        ListColumn.TYPE,
                        "the list does not say how many characters a text has"
                                + (length > 0 ? "; two a register were assumed" : "; 16 were assumed"),
                        "correct length");
            }
            entry.add("length", Integer.toString(Math.max(1, Math.min(250, size))));
        } else if (length > 0 && length != type.registers() && length != 2 * type.registers()) {
            problems.warning(
                    cell(row, ListColumn.LENGTH).position(),
                    "a " + type.written() + " has " + type.registers() + " registers, the list says " + length,
                    "correct the type, or look whether the list counts bytes");
        }
        if (type.registers() > 1) {
            order(row, entry);
        }
        if (!type.isText() && !type.isTime()) {
            numbers(row, entry);
        }
        String remark = text(row, ListColumn.REMARK);
        if (!remark.isEmpty()) {
            entry.remark(remark);
        }
        draft.addPoint(name, entry, place.table(), place.number());
    }

    private void order(Row row, DraftText.Entry entry) {
        String written = text(row, ListColumn.ORDER);
        String plain = written.toUpperCase(Locale.ROOT).replaceAll("[^A-Z]", "");
        String order = null;
        if (plain.matches("ABCD|CDAB|BADC|DCBA")) {
            order = plain;
        } else if (plain.matches("(MSW|HIGHWORD|HIGHREGISTER|MOSTSIGNIFICANTWORD|BIGENDIAN)(FIRST)?")) {
            order = "ABCD";
        } else if (plain.matches(
                "(LSW|LOWWORD|LOWREGISTER|LEASTSIGNIFICANTWORD)(FIRST)?|WORDSWAP(PED)?|SWAPPED(WORDS)?")) {
            order = "CDAB";
        } else if (plain.matches("BYTESWAP(PED)?")) {
            order = "BADC";
        }
        if (order == null) {
            assume(
                    row,
                    ListColumn.ORDER,
                    (written.isEmpty()
                                    ? "the list does not say in which order the registers of a long value come"
                                    : "the order " + shown(written) + " can mean several")
                            + "; ABCD was assumed",
                    "compare the four orders by inspect --read --map");
        }
        entry.add("order", order == null ? "ABCD" : order);
    }

    private void numbers(Row row, DraftText.Entry entry) {
        String scale = text(row, ListColumn.SCALE);
        Matcher fraction = FRACTION.matcher(scale);
        BigDecimal factor = number(scale.replaceAll("^[xX*\u00d7] *", ""));
        if (fraction.matches() && new BigDecimal(fraction.group(1)).signum() > 0) {
            factor = BigDecimal.ONE.divide(new BigDecimal(fraction.group(1)), java.math.MathContext.DECIMAL64);
        }
        if (factor == null && !scale.isEmpty() && !scale.equals("-")) {
            problems.warning(
                    cell(row, ListColumn.SCALE).position(),
                    "the scale " + shown(scale) + " is not a number and was left out",
                    "write scale: with the number that the raw value is multiplied by");
        } else if (factor != null && factor.compareTo(BigDecimal.ONE) != 0 && factor.signum() != 0) {
            entry.add("scale", plain(factor));
        }
        BigDecimal offset = number(text(row, ListColumn.OFFSET));
        if (offset != null && offset.signum() != 0) {
            entry.add("offset", plain(offset));
        }
        String unit = text(row, ListColumn.UNIT);
        if (!unit.isEmpty() && !unit.equals("-") && !unit.equals("1")) {
            String meant = Unit.meant(unit).orElse(null);
            if (meant == null) {
                problems.warning(
                        cell(row, ListColumn.UNIT).position(),
                        "the unit " + shown(unit) + " is not known and was left out",
                        "write a unit that is known, with the scale that gives it");
            } else {
                entry.add("unit", YamlText.of(meant));
            }
        }
        range(row, entry);
        String noValue = text(row, ListColumn.NO_VALUE);
        BigDecimal code = number(noValue);
        if (noValue.matches("0[xX][0-9a-fA-F]{1,16}")) {
            entry.add("no_value", noValue.replace("0X", "0x"));
        } else if (code != null) {
            entry.add("no_value", plain(code));
        } else if (noValue.isEmpty()) {
            assume(
                    row,
                    ListColumn.NO_VALUE,
                    "the list does not say by which code the device tells that it has no value",
                    "look in the maker's text for such codes (0xFFFF, 0x8000, -9999) and add no_value");
        } else if (!noValue.equals("-")) {
            problems.warning(
                    cell(row, ListColumn.NO_VALUE).position(),
                    "the no-value code " + shown(noValue) + " is not a number and was left out",
                    "add no_value by hand");
        }
    }

    private void range(Row row, DraftText.Entry entry) {
        BigDecimal low = number(text(row, ListColumn.LOW));
        BigDecimal high = number(text(row, ListColumn.HIGH));
        Matcher span = SPAN.matcher(text(row, ListColumn.RANGE));
        if (low == null && high == null && span.matches()) {
            low = number(span.group(1));
            high = number(span.group(2));
        }
        if (low != null && high != null) {
            entry.add("range", "[" + plain(low) + ", " + plain(high) + "]");
        } else {
            assume(
                    row,
                    ListColumn.RANGE,
                    "the list does not say which values are plausible",
                    "add range: with the lowest and the highest plausible reading");
        }
    }

    private static @Nullable BigDecimal number(String written) {
        String plain = written.strip();
        return plain.length() <= 30 && NUMBER.matcher(plain).matches() ? new BigDecimal(plain.replace(',', '.')) : null;
    }

    private static String plain(BigDecimal number) {
        BigDecimal stripped = number.stripTrailingZeros();
        return (stripped.scale() < 0 ? stripped.setScale(0) : stripped).toPlainString();
    }

    private void assume(Row row, ListColumn column, String what, String remedy) {
        assumed.computeIfAbsent(what, w -> new Assumed(cell(row, column).position(), remedy)).rows++;
    }

    private static String shown(String text) {
        String plain = YamlText.comment(text);
        return "`" + (plain.length() > 40 ? plain.substring(0, 40) + "..." : plain) + "`";
    }
}
