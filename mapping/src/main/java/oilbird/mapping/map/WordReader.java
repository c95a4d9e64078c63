package oilbird.mapping.map;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.mapping.address.Address;
import oilbird.mapping.address.Node;
import oilbird.mapping.address.Place;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import oilbird.mapping.text.YamlScalar;
import org.jspecify.annotations.Nullable;

/** Reads the section {@code words}. */
final class WordReader {
    private static final Pattern BITS = Pattern.compile("([0-9]{1,2})(?:-([0-9]{1,2}))?");
    private static final Pattern CONDITION = Pattern.compile("(not )?bit ([0-9]{1,2})");
    private static final Pattern VALUE = Pattern.compile("[0-9]{1,18}|0x[0-9a-fA-F]{1,15}");

    /** A bit or field value that tells an indication. */
    record Told(String word, Position at, @Nullable Verification verified) {}

    /** The bits of a word as the file counts them. */
    record Numbered(BitNumbering numbering, int width) {
        int bit(int written) {
            return numbering.bit(written, width);
        }

        boolean isOutside(int written) {
            return bit(written) < 0 || bit(written) >= width;
        }

        String outside(int written) {
            return "bit " + written + " is outside a " + width + "-bit word";
        }

        String remedy() {
            return "use " + numbering.range(width);
        }
    }

    private final MapText text;
    private final Map<String, Told> told = new LinkedHashMap<>();

    WordReader(MapText text) {
        this.text = text;
    }

    /** Who tells which indication; complete after {@link #read}. */
    Map<String, Told> told() {
        return told;
    }

    List<StatusWord> read(YamlMapping section) {
        List<StatusWord> words = new ArrayList<>();
        for (YamlMapping.Entry entry : section.entries()) {
            text.takeName(entry.key(), "word", entry.keyPosition());
            StatusWord word = word(entry.key(), entry.value().asMapping());
            if (word != null) {
                words.add(word);
            }
        }
        return words;
    }

    private @Nullable StatusWord word(String name, YamlMapping of) {
        NodeReader nodes = text.nodes;
        NodeReader.checkKeys(text, of, nodes != null);
        MapText.Located located = nodes == null ? text.locate(of) : null;
        int width = width(of, located);
        Address address = null;
        String pollClass;
        if (nodes != null) {
            pollClass = text.pollClass(of, null);
            address = nodes.node(of, pollClass);
        } else {
            Place place = null;
            if (located != null && width > 0) {
                place = text.place(located, located.table().bits() ? width : width / 16);
            }
            pollClass = text.pollClass(of, place);
            address = place;
        }
        List<BitUse> uses = new ArrayList<>();
        Map<Integer, Integer> usedInLine = new LinkedHashMap<>();
        Verification verified = text.verification(of, text.verified);
        BitNumbering numbering = of.choice("bit_numbering", BitNumbering.LSB_0);
        Numbered bits = new Numbered(numbering, width == 0 ? 64 : width);
        for (YamlMapping.Entry entry : of.mapping("bits").entries()) {
            BitUse use = use(name, bits, verified, entry);
            if (use != null && isFree(use, bits, usedInLine, entry.keyPosition())) {
                uses.add(use);
            }
        }
        uses.sort(Comparator.comparingInt(BitUse::low));
        if (address == null || width == 0) {
            return null;
        }
        if (address instanceof Place place && located != null) {
            text.occupy(name, place, pollClass, located.at());
        } else if (nodes != null && address instanceof Node node) {
            nodes.occupy(name, node, pollClass, false, of.valuePosition("node"));
        }
        return new StatusWord(name, of.text("text"), address, width, WordOrders.read(of), numbering, pollClass, uses);
    }

    /** 0 after a mistake that was told. */
    private int width(YamlMapping of, MapText.@Nullable Located located) {
        if (!of.has("width") || text.problems.isMisshapen(of.valuePosition("width"))) {
            return 0;
        }
        int width = (int) of.whole("width");
        if (text.problems.isMisshapen(of.valuePosition("width"))) {
            return 0;
        }
        if (located != null && !located.table().bits() && width != 16 && width != 32 && width != 64) {
            text.problems.error(
                    of.valuePosition("width"),
                    "a word in registers cannot have " + width + " bits",
                    "write 16, 32 or 64");
            return 0;
        }
        if (text.nodes != null && width != 1 && width != 8 && width != 16 && width != 32 && width != 64) {
            text.problems.error(
                    of.valuePosition("width"),
                    "no OPC UA integer has " + width + " bits",
                    "write 8, 16, 32 or 64, or 1 for a Boolean");
            return 0;
        }
        return width;
    }

    private boolean isFree(BitUse use, Numbered bits, Map<Integer, Integer> usedInLine, Position at) {
        for (int bit = use.low(); bit <= use.high(); bit++) {
            Integer line = usedInLine.putIfAbsent(bit, at.line());
            if (line != null) {
                text.problems.error(
                        at,
                        "bit " + bits.numbering().written(bit, bits.width()) + " is already described in line " + line,
                        "delete or correct one of the two");
                return false;
            }
        }
        return true;
    }

    private @Nullable BitUse use(
            String word, Numbered numbered, @Nullable Verification inherited, YamlMapping.Entry entry) {
        Matcher bits = BITS.matcher(entry.key());
        if (!bits.matches()) {
            text.problems.error(
                    entry.keyPosition(), "`" + entry.key() + "` is not a bit", "write one bit, 3, or several, 8-10");
            return null;
        }
        int first = Integer.parseInt(bits.group(1));
        int last = bits.group(2) == null ? first : Integer.parseInt(bits.group(2));
        if (first > last) {
            text.problems.error(
                    entry.keyPosition(), "`" + entry.key() + "` runs backwards", "write " + last + "-" + first);
            return null;
        }
        for (int written : List.of(last, first)) {
            if (numbered.isOutside(written)) {
                text.problems.error(entry.keyPosition(), numbered.outside(written), numbered.remedy());
                return null;
            }
        }
        int low = Math.min(numbered.bit(first), numbered.bit(last));
        int high = Math.max(numbered.bit(first), numbered.bit(last));
        if (entry.value() instanceof YamlScalar scalar) {
            String written = scalar.asText();
            if (text.problems.isMisshapen(scalar.position())) {
                return null;
            }
            if (written.equals("spare")) {
                return new BitUse.Spare(low, high);
            }
            return flag(word, low, high, written, scalar.position(), false, null, inherited);
        }
        YamlMapping of = entry.value().asMapping();
        BitUse.Condition validWhen = condition(of, low, high, numbered);
        Verification verified = text.verification(of, inherited);
        if (of.has("indication") == of.has("field")) {
            text.problems.error(
                    of.position(),
                    of.has("field")
                            ? "bits are an indication or a field, not both"
                            : "nothing says what the bits are for",
                    of.has("field") ? "keep one of the two" : "add indication: or field: with a name, or write spare");
            return null;
        }
        if (of.has("field")) {
            return field(word, low, high, of, validWhen, verified);
        }
        for (String key : List.of("text", "values")) {
            if (of.has(key)) {
                text.problems.error(
                        of.keyPosition(key),
                        "`" + key + "` belongs to a field, not to an indication",
                        "delete it; an indication is described under indications");
            }
        }
        return flag(
                word,
                low,
                high,
                of.text("indication"),
                of.valuePosition("indication"),
                of.truth("inverted", false),
                validWhen,
                verified);
    }

    private @Nullable BitUse flag(
            String word,
            int low,
            int high,
            String indication,
            Position at,
            boolean inverted,
            BitUse.@Nullable Condition validWhen,
            @Nullable Verification verified) {
        if (low != high) {
            text.problems.error(at, "an indication is one bit, not several", "write one bit, or field: with values");
            return null;
        }
        tell(indication, new Told(word, at, verified));
        return new BitUse.Flag(low, indication, inverted, validWhen);
    }

    private @Nullable BitUse field(
            String word,
            int low,
            int high,
            YamlMapping of,
            BitUse.@Nullable Condition validWhen,
            @Nullable Verification verified) {
        String name = of.text("field");
        text.takeName(name, "field", of.valuePosition("field"));
        if (of.has("inverted")) {
            text.problems.error(
                    of.keyPosition("inverted"),
                    "a field cannot be inverted",
                    "delete it, and give its values as they come");
        }
        if (!of.has("values")) {
            of.error("the key `values` is missing", "add values: with the meaning of each value of the field");
            return null;
        }
        int bits = high - low + 1;
        Map<Long, BitUse.FieldValue> values = new TreeMap<>();
        Map<String, Told> byIndication = new LinkedHashMap<>();
        for (YamlMapping.Entry entry : of.mapping("values").entries()) {
            Long value = value(entry, bits);
            BitUse.FieldValue meaning = meaning(value == null ? 0 : value, entry.value());
            if (value == null) {
                continue;
            }
            if (values.put(value, meaning) != null) {
                text.problems.error(
                        entry.keyPosition(), "the value " + value + " is given twice", "delete one of the two");
            }
            if (meaning.indication() != null && entry.value() instanceof YamlMapping mapping) {
                byIndication.putIfAbsent(
                        meaning.indication(), new Told(word, mapping.valuePosition("indication"), verified));
            }
        }
        byIndication.forEach(this::tell);
        warnOfGap(of, values);
        return new BitUse.Field(
                name, of.text("text", name.replace('-', ' ')), low, high, List.copyOf(values.values()), validWhen);
    }

    private @Nullable Long value(YamlMapping.Entry entry, int bits) {
        String written = entry.key();
        if (!VALUE.matcher(written).matches()) {
            text.problems.error(
                    entry.keyPosition(), "`" + written + "` is not a value", "write a whole number, 0 or more");
            return null;
        }
        long value = written.startsWith("0x") ? Long.parseLong(written.substring(2), 16) : Long.parseLong(written);
        if (bits < 63 && value >= 1L << bits) {
            text.problems.error(
                    entry.keyPosition(),
                    "the value " + written + " does not fit " + bits + (bits == 1 ? " bit" : " bits"),
                    "write 0 to " + ((1L << bits) - 1));
            return null;
        }
        return value;
    }

    private static BitUse.FieldValue meaning(long value, YamlNode node) {
        if (node instanceof YamlMapping mapping) {
            return new BitUse.FieldValue(value, mapping.text("text"), mapping.textOrNull("indication"));
        }
        return new BitUse.FieldValue(value, node.asText(), null);
    }

    private void warnOfGap(YamlMapping of, Map<Long, BitUse.FieldValue> values) {
        Long before = null;
        for (Long value : values.keySet()) {
            if (before != null && value != before + 1) {
                text.problems.warning(
                        of.keyPosition("values"),
                        "the values jump from " + before + " to " + value,
                        "add what is between, if the maker defines it");
            }
            before = value;
        }
    }

    private BitUse.@Nullable Condition condition(YamlMapping of, int low, int high, Numbered word) {
        String written = of.textOrNull("valid_when");
        Position at = of.valuePosition("valid_when");
        if (written == null || text.problems.isMisshapen(at)) {
            return null;
        }
        Matcher condition = CONDITION.matcher(written);
        if (!condition.matches()) {
            return null;
        }
        int number = Integer.parseInt(condition.group(2));
        if (word.isOutside(number)) {
            text.problems.error(at, word.outside(number), word.remedy());
            return null;
        }
        int bit = word.bit(number);
        if (bit >= low && bit <= high) {
            text.problems.error(at, "a bit cannot say of itself whether it is valid", "name another bit of the word");
            return null;
        }
        return new BitUse.Condition(bit, condition.group(1) == null);
    }

    void tell(String indication, Told by) {
        Told first = told.putIfAbsent(indication, by);
        if (first != null) {
            text.problems.error(
                    by.at(),
                    "the indication `" + indication + "` is already told in line "
                            + first.at().line(),
                    "give one of the two another name");
        }
    }
}
