package oilbird.mapping.map;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.Suggestion;
import oilbird.mapping.text.YamlDocument;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import oilbird.mapping.text.YamlText;

/**
 * Writes into the text of a map that somebody compared points with the device's local display. Everything else
 * in the text, comments and line ends included, stays as it was.
 */
public final class VerificationMark {
    private static final int LONGEST_NAME = 200;

    private final String text;
    private final String fileName;
    private final Verification mark;
    private final String lineEnd;
    private final Problems problems = new Problems();
    private final Map<Integer, Edit> edits = new LinkedHashMap<>();

    /** Replaces the characters from {@code from} to before {@code to}. */
    private record Edit(int from, int to, String by) {}

    private VerificationMark(String fileName, String text, Verification mark) {
        this.fileName = fileName;
        this.text = text;
        this.mark = mark;
        this.lineEnd = text.contains("\r\n") ? "\r\n" : "\n";
    }

    /**
     * The text of the map with the mark at each name.
     *
     * @param names of points, status words (all their bits), fields and indications. An indication that a
     *     field's value tells is marked with its field.
     * @return the new text, or why it cannot be made.
     */
    public static Loaded<String> write(String fileName, String text, List<String> names, Verification mark) {
        return new VerificationMark(fileName, text, mark).write(names);
    }

    private Loaded<String> write(List<String> names) {
        Loaded<DeviceMap> before = MapReader.read(fileName, text);
        before.problems().forEach(problems::add);
        if (mark.by().isBlank() || mark.by().length() > LONGEST_NAME) {
            problems.error(
                    new Position(fileName, 1, 1),
                    "the mark does not say who compared",
                    "give a name of 1 to " + LONGEST_NAME + " characters");
        }
        YamlNode root = YamlDocument.read(fileName, text, new Problems()).orElse(null);
        if (before.value() == null || !(root instanceof YamlMapping mapping) || problems.refused()) {
            return problems.loaded(null);
        }
        Map<String, YamlMapping.Entry> markable = markable(mapping);
        for (String name : names) {
            YamlMapping.Entry entry = markable.get(name);
            if (entry == null) {
                problems.error(
                        root.position(),
                        "there is no point, word, field or indication `" + name + "` to mark",
                        Suggestion.closest(name, markable.keySet())
                                .map(close -> "did you mean " + close + "?")
                                .orElse("write a name of the map"));
            } else {
                mark(entry.value());
            }
        }
        if (problems.refused()) {
            return problems.loaded(null);
        }
        String marked = applied();
        DeviceMap after = MapReader.read(fileName, marked)
                .result()
                .orElseThrow(() -> new IllegalStateException("the marked map cannot be read:\n" + marked));
        if (!after.verifiedBy(null).equals(before.value().verifiedBy(null))) {
            throw new IllegalStateException("marking changed more than the marks:\n" + marked);
        }
        return problems.loaded(marked);
    }

    private static Map<String, YamlMapping.Entry> markable(YamlMapping root) {
        Map<String, YamlMapping.Entry> found = new LinkedHashMap<>();
        root.mapping("points").entries().forEach(point -> found.put(point.key(), point));
        for (YamlMapping.Entry word : root.mapping("words").entries()) {
            found.put(word.key(), word);
            for (YamlMapping.Entry bits :
                    word.value().asMapping().mapping("bits").entries()) {
                if (!(bits.value() instanceof YamlMapping use)) {
                    if (!bits.value().asText().equals("spare")) {
                        found.put(bits.value().asText(), bits);
                    }
                    continue;
                }
                for (String key : List.of("indication", "field")) {
                    if (use.has(key)) {
                        found.put(use.text(key), bits);
                    }
                }
                for (YamlMapping.Entry value : use.mapping("values").entries()) {
                    if (value.value() instanceof YamlMapping meaning && meaning.has("indication")) {
                        found.put(meaning.text("indication"), bits);
                    }
                }
            }
        }
        return found;
    }

    private void mark(YamlNode node) {
        String value = "{by: " + YamlText.of(mark.by()) + ", on: " + mark.on() + "}";
        if (!(node instanceof YamlMapping mapping)) {
            replace(node.position(), node.end(), "{indication: " + node.asText() + ", verified: " + value + "}");
            return;
        }
        YamlNode given = mapping.get("verified");
        if (given != null) {
            replace(given.position(), given.end(), value);
        } else if (mapping.inBraces()) {
            int first = index(mapping.position()) + 1;
            edits.put(first, new Edit(first, first, "verified: " + value + ", "));
        } else {
            addLine(mapping, "verified: " + value);
        }
    }

    /** As the last line of the mapping, or as its first where the last value's end is not the end of a line. */
    private void addLine(YamlMapping mapping, String line) {
        String indent = " ".repeat(mapping.position().column() - 1);
        YamlNode last = last(mapping);
        if (last.position().line() == last.end().line()) {
            int end = index(last.end());
            while (end < text.length() && text.charAt(end) != '\n' && text.charAt(end) != '\r') {
                end++;
            }
            edits.put(end, new Edit(end, end, lineEnd + indent + line));
        } else {
            int first = index(mapping.position());
            edits.put(first, new Edit(first, first, line + lineEnd + indent));
        }
    }

    private static YamlNode last(YamlNode node) {
        YamlNode last = node;
        if (node instanceof YamlMapping mapping && !mapping.inBraces()) {
            for (YamlMapping.Entry entry : mapping.entries()) {
                last = last(entry.value());
            }
        }
        return last;
    }

    private void replace(Position from, Position to, String by) {
        edits.put(index(from), new Edit(index(from), index(to), by));
    }

    /** The position as an index into the text; columns count code points. */
    private int index(Position position) {
        int at = text.startsWith("\uFEFF") ? 1 : 0;
        for (int line = 1; line < position.line(); line++) {
            while (text.charAt(at) != '\n' && text.charAt(at) != '\r') {
                at++;
            }
            at += text.startsWith("\r\n", at) ? 2 : 1;
        }
        return text.offsetByCodePoints(at, position.column() - 1);
    }

    private String applied() {
        List<Edit> backwards = new ArrayList<>(edits.values());
        backwards.sort(Comparator.comparingInt(Edit::from).reversed());
        StringBuilder marked = new StringBuilder(text);
        backwards.forEach(edit -> marked.replace(edit.from(), edit.to(), edit.by()));
        return marked.toString();
    }
}
