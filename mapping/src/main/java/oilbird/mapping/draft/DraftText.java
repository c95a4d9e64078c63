package oilbird.mapping.draft;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import oilbird.mapping.text.YamlText;
import org.jspecify.annotations.Nullable;

/** The map under construction, and its text. */
final class DraftText {
    private static final int LONGEST_TEXT = 200;
    private static final int LONGEST_RUN = 64;

    boolean oneBased;

    private final UniqueNames names = new UniqueNames();
    private final Map<String, Entry> points = new LinkedHashMap<>();
    private final Map<String, String> pointAt = new LinkedHashMap<>();
    /** By table and address; what each bit is called. */
    private final Map<String, Word> words = new LinkedHashMap<>();
    /** By table and address. */
    private final Map<String, TreeMap<Integer, Bit>> contacts = new LinkedHashMap<>();

    /** The keys of a point, in order. */
    static final class Entry {
        final String text;
        final List<String> lines = new ArrayList<>();
        private @Nullable String remark;

        Entry(String text) {
            this.text = text;
        }

        void add(String key, String value) {
            lines.add(key + ": " + value);
        }

        void remark(String words) {
            remark = words;
        }
    }

    private record Bit(String name, String text, boolean spare) {}

    private record Word(String table, int number, TreeMap<Integer, Bit> bits) {}

    boolean isEmpty() {
        return points.isEmpty() && words.isEmpty() && contacts.isEmpty();
    }

    void addPoint(String name, Entry entry, String table, int number) {
        String unique = names.of(name);
        points.put(unique, entry);
        pointAt.putIfAbsent(table + " " + number, unique);
    }

    void addBit(String table, int number, int bit, String name, String text, boolean spare) {
        words.computeIfAbsent(table + " " + number, k -> new Word(table, number, new TreeMap<>()))
                .bits()
                .putIfAbsent(bit, new Bit(spare ? "" : names.of(name), text, spare));
    }

    void addContact(String table, int number, String name, String text, boolean spare) {
        contacts.computeIfAbsent(table, t -> new TreeMap<>())
                .putIfAbsent(number, new Bit(spare ? "" : names.of(name), text, spare));
    }

    String yaml(String listName, String mapName) {
        StringBuilder yaml = new StringBuilder();
        line(yaml, "# Drafted from " + YamlText.comment(listName) + ". Nothing in it is verified yet.");
        line(yaml, "device_map: 1");
        line(yaml, "name: " + mapName);
        line(yaml, "text: " + YamlText.of(mapName));
        line(yaml, "addresses: " + (oneBased ? "one-based" : "zero-based"));
        line(yaml, "poll_classes:");
        line(yaml, "  status: 1 s");
        line(yaml, "  readings: 5 s");
        Map<String, String> wordNames = new LinkedHashMap<>();
        Map<String, String> wordTexts = new LinkedHashMap<>();
        words.forEach((at, word) -> {
            String pointName = pointAt.get(at);
            Entry taken = pointName == null ? null : points.remove(pointName);
            wordNames.put(at, pointName == null ? names.of("status-" + word.number()) : pointName);
            wordTexts.put(at, taken == null ? "status word at " + word.number() : taken.text);
        });
        if (!points.isEmpty()) {
            line(yaml, "");
            line(yaml, "points:");
            points.forEach((name, entry) -> point(yaml, name, entry));
        }
        Map<String, String> indications = new LinkedHashMap<>();
        if (!words.isEmpty() || !contacts.isEmpty()) {
            line(yaml, "");
            line(yaml, "words:");
            words.forEach((at, word) -> {
                int highest = word.bits().lastKey();
                // A bit 16 in a word of 16 bits means that counting begins at 1.
                boolean fromOne = highest == 16 && !word.bits().containsKey(0);
                int width = fromOne || highest < 16 ? 16 : highest < 32 ? 32 : 64;
                word(
                        yaml,
                        wordNames.getOrDefault(at, ""),
                        wordTexts.getOrDefault(at, ""),
                        word.table(),
                        word.number(),
                        width);
                if (fromOne) {
                    line(yaml, "    bit_numbering: lsb-1");
                }
                bits(yaml, word.bits(), 0, indications);
            });
            contacts.forEach((table, bits) -> runs(bits).forEach(run -> {
                int first = run.firstKey();
                int width = run.lastKey() - first + 1;
                String name = names.of(table.replace('_', '-') + "s-" + first);
                word(yaml, name, table.replace('_', ' ') + "s from " + first, table, first, width);
                bits(yaml, run, first, indications);
            }));
        }
        if (!indications.isEmpty()) {
            line(yaml, "");
            line(yaml, "indications:");
            indications.forEach((name, text) -> {
                line(yaml, "  " + name + ":");
                line(yaml, "    text: " + YamlText.of(shortened(text)));
            });
        }
        return yaml.toString();
    }

    private static void point(StringBuilder yaml, String name, Entry entry) {
        line(yaml, "  " + name + ":");
        line(yaml, "    text: " + YamlText.of(shortened(entry.text)));
        entry.lines.forEach(l -> line(yaml, "    " + l));
        line(yaml, "    poll: readings");
        if (entry.remark != null) {
            line(yaml, "    # the list says: " + YamlText.comment(entry.remark));
        }
    }

    private static void word(StringBuilder yaml, String name, String text, String table, int number, int width) {
        line(yaml, "  " + name + ":");
        line(yaml, "    text: " + YamlText.of(shortened(text)));
        line(yaml, "    " + table + ": " + number);
        line(yaml, "    width: " + width);
    }

    private static void bits(StringBuilder yaml, Map<Integer, Bit> bits, int first, Map<String, String> indications) {
        line(yaml, "    bits:");
        bits.forEach((number, bit) -> {
            line(yaml, "      " + (number - first) + ": " + (bit.spare() ? "spare" : bit.name()));
            if (!bit.spare()) {
                indications.put(bit.name(), bit.text());
            }
        });
    }

    /** Neighbours together, as long as one word may be. */
    private static List<TreeMap<Integer, Bit>> runs(TreeMap<Integer, Bit> bits) {
        List<TreeMap<Integer, Bit>> runs = new ArrayList<>();
        TreeMap<Integer, Bit> run = new TreeMap<>();
        for (Map.Entry<Integer, Bit> bit : bits.entrySet()) {
            if (!run.isEmpty() && (bit.getKey() != run.lastKey() + 1 || run.size() == LONGEST_RUN)) {
                runs.add(run);
                run = new TreeMap<>();
            }
            run.put(bit.getKey(), bit.getValue());
        }
        runs.add(run);
        return runs;
    }

    static String shortened(String text) {
        String line = YamlText.comment(text);
        return line.length() > LONGEST_TEXT ? line.substring(0, LONGEST_TEXT - 3) + "..." : line;
    }

    private static void line(StringBuilder yaml, String line) {
        yaml.append(line).append('\n');
    }
}
