package oilbird.mapping.text;

import java.math.BigInteger;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.snakeyaml.engine.v2.api.LoadSettings;
import org.snakeyaml.engine.v2.api.lowlevel.Parse;
import org.snakeyaml.engine.v2.common.ScalarStyle;
import org.snakeyaml.engine.v2.events.AliasEvent;
import org.snakeyaml.engine.v2.events.CollectionStartEvent;
import org.snakeyaml.engine.v2.events.Event;
import org.snakeyaml.engine.v2.events.NodeEvent;
import org.snakeyaml.engine.v2.events.ScalarEvent;
import org.snakeyaml.engine.v2.exceptions.Mark;
import org.snakeyaml.engine.v2.exceptions.MarkedYamlEngineException;
import org.snakeyaml.engine.v2.exceptions.ReaderException;
import org.snakeyaml.engine.v2.exceptions.YamlEngineException;

/**
 * Reads the text of one YAML file once into {@link YamlNode}s with positions.
 *
 * <p>The accepted language is YAML 1.2 without what surprises people or hides a mistake: one document
 * a file; no anchors, aliases, merge keys or tags; no key twice; no number with a leading zero. Every
 * such use is told with its position. No text makes this class throw.
 */
public final class YamlDocument {
    private static final int LONGEST_FILE = 1 << 20;
    private static final int LONGEST_SCALAR = 10_000;
    private static final int DEEPEST = 32;
    private static final int MOST_NODES = 100_000;

    private final String file;
    private final String text;
    private final Problems problems;
    private final Deque<Frame> open = new ArrayDeque<>();
    private @Nullable YamlNode root;
    private int nodes;
    private boolean unusable;

    private YamlDocument(String file, String text, Problems problems) {
        this.file = file;
        this.text = text;
        this.problems = problems;
    }

    /**
     * The file's one document.
     *
     * @param file name for positions, as the user would write it.
     * @param text the whole file; it is the caller's part to decode it.
     * @param problems takes the mistakes.
     * @return empty exactly when an error was added that leaves nothing to look at.
     */
    public static Optional<YamlNode> read(String file, String text, Problems problems) {
        return new YamlDocument(file, text, problems).read();
    }

    /** A mapping or list whose end has not been seen. */
    private static final class Frame {
        final Position position;
        final boolean flow;
        final @Nullable Map<String, YamlMapping.Entry> entries;
        final @Nullable List<YamlNode> items;

        @Nullable
        String key;

        Position keyPosition;
        boolean keyIsUsable;

        Frame(Position position, boolean mapping, boolean flow) {
            this.position = position;
            this.flow = flow;
            this.keyPosition = position;
            this.entries = mapping ? new LinkedHashMap<>() : null;
            this.items = mapping ? null : new ArrayList<>();
        }
    }

    private Optional<YamlNode> read() {
        if (text.length() > LONGEST_FILE) {
            problems.error(
                    new Position(file, 1, 1),
                    "the file has " + text.length() + " characters",
                    "split it; the most is " + LONGEST_FILE);
            return Optional.empty();
        }
        int undecodable = text.indexOf('\uFFFD');
        if (undecodable >= 0) {
            problems.error(positionOf(undecodable), "this is not UTF-8", "save the file in UTF-8");
            return Optional.empty();
        }
        String withoutMark = text.startsWith("\uFEFF") ? text.substring(1) : text;
        LoadSettings settings = LoadSettings.builder().setLabel(file).build();
        try {
            for (Event event : new Parse(settings).parseString(withoutMark)) {
                if (!take(event)) {
                    return Optional.empty();
                }
            }
        } catch (ReaderException unreadable) {
            Position at = positionOf(text.offsetByCodePoints(
                    0, Math.min(unreadable.getPosition(), text.codePointCount(0, text.length()))));
            problems.error(
                    at,
                    "the character " + String.format("U+%04X", unreadable.getCodePoint()) + " is not allowed in YAML",
                    "delete it");
            return Optional.empty();
        } catch (MarkedYamlEngineException broken) {
            tellBroken(broken);
            return Optional.empty();
        } catch (YamlEngineException broken) {
            problems.error(
                    new Position(file, 1, 1),
                    "this is not YAML: " + oneLine(broken.getMessage()),
                    "check indentation, quotes and brackets");
            return Optional.empty();
        }
        if (root == null) {
            problems.error(new Position(file, 1, 1), "the file is empty", "describe something in it");
        }
        return unusable ? Optional.empty() : Optional.ofNullable(root);
    }

    /** False when reading cannot go on. */
    private boolean take(Event event) {
        switch (event.getEventId()) {
            case Scalar -> {
                ScalarEvent scalar = (ScalarEvent) event;
                if (!admit(scalar)) {
                    return false;
                }
                Frame frame = open.peek();
                if (frame != null && frame.entries != null && frame.key == null) {
                    takeKey(frame, scalar.getValue(), position(event));
                } else {
                    add(scalar(scalar));
                }
            }
            case MappingStart, SequenceStart -> {
                CollectionStartEvent start = (CollectionStartEvent) event;
                if (!admit(start)) {
                    return false;
                }
                Frame frame = open.peek();
                if (frame != null && frame.entries != null && frame.key == null) {
                    problems.error(position(event), "a key must be a text", "write key: value");
                    return false;
                }
                open.push(new Frame(position(event), event.getEventId() == Event.ID.MappingStart, start.isFlow()));
            }
            case MappingEnd, SequenceEnd -> {
                Frame done = open.pop();
                if (done.entries != null) {
                    add(new YamlMapping(done.position, problems, done.entries, done.flow ? end(event) : null));
                } else if (done.items != null) {
                    add(new YamlList(done.position, problems, done.items, done.flow ? end(event) : null));
                }
            }
            case Alias -> {
                problems.error(
                        position(event),
                        "`*" + ((AliasEvent) event).getAlias() + "` refers to another place in the file",
                        "write the value out; anchors and aliases are not used here");
                // What the alias stands for is unknown here, so later checks would only mislead.
                unusable = true;
                Frame frame = open.peek();
                if (frame != null && frame.entries != null && frame.key == null) {
                    takeKey(frame, "*", position(event));
                } else {
                    add(YamlMapping.empty(position(event), problems));
                }
            }
            case DocumentStart -> {
                if (root != null) {
                    problems.error(position(event), "a second document begins here", "put it into a file of its own");
                    return false;
                }
            }
            case StreamStart, StreamEnd, DocumentEnd, Comment -> {
                // nothing to keep
            }
        }
        return true;
    }

    private boolean admit(NodeEvent event) {
        Position at = position(event);
        if (++nodes > MOST_NODES) {
            problems.error(at, "the file has more than " + MOST_NODES + " values", "split it");
            return false;
        }
        if (open.size() >= DEEPEST) {
            problems.error(at, "values are nested deeper than " + DEEPEST, "check the brackets and the indentation");
            return false;
        }
        if (event.getAnchor().isPresent()) {
            problems.error(
                    at,
                    "`&" + event.getAnchor().get() + "` marks a place to refer to",
                    "delete it; anchors and aliases are not used here");
        }
        Optional<String> tag =
                event instanceof ScalarEvent scalar ? scalar.getTag() : ((CollectionStartEvent) event).getTag();
        if (tag.isPresent() && !tag.get().equals("!")) {
            problems.error(at, "the tag " + Mistakes.quoted(tag.get()) + " is not used here", "delete the tag");
        }
        return true;
    }

    private void takeKey(Frame frame, String key, Position at) {
        frame.key = key;
        frame.keyPosition = at;
        frame.keyIsUsable = false;
        if (key.equals("<<")) {
            problems.error(at, "the merge key `<<` is not used here", "write the keys out");
        } else if (key.isBlank()) {
            problems.error(at, "a key is empty", "write key: value");
        } else if (key.length() > 200) {
            problems.error(at, "the key " + Mistakes.quoted(key) + " is too long", "write at most 200 characters");
        } else {
            YamlMapping.Entry first = frame.entries == null ? null : frame.entries.get(key);
            if (first == null) {
                frame.keyIsUsable = true;
            } else {
                problems.error(
                        at,
                        "the key " + Mistakes.quoted(key) + " is already given in line "
                                + first.keyPosition().line() + ", column "
                                + first.keyPosition().column(),
                        "delete or rename one of the two");
            }
        }
    }

    private YamlScalar scalar(ScalarEvent event) {
        Position at = position(event);
        String value = event.getValue();
        if (value.length() > LONGEST_SCALAR) {
            problems.misshapen(at, "the text is longer than " + LONGEST_SCALAR + " characters", "shorten it");
            value = value.substring(0, 100);
        }
        boolean plain =
                event.getScalarStyle() == ScalarStyle.PLAIN && event.getTag().isEmpty();
        if (plain && value.length() <= 40 && YamlScalar.isAmbiguousNumber(value)) {
            tellLeadingZero(at, value);
        }
        return new YamlScalar(at, end(event), problems, value, plain);
    }

    private void tellLeadingZero(Position at, String value) {
        String digits = value.replaceFirst("^([-+]?)0+(?=[0-9])", "$1");
        String sign = digits.startsWith("-") ? "-" : "";
        String octal = value.matches("[-+]?[0-7]+")
                ? ", or " + sign + "0x"
                        + new BigInteger(value.replaceFirst("^[-+]", ""), 8)
                                .toString(16)
                                .toUpperCase(Locale.ROOT)
                        + " if octal was meant"
                : "";
        problems.misshapen(
                at,
                Mistakes.quoted(value) + " is ambiguous: a leading zero means octal to some readers",
                "write " + digits.replace("_", "") + octal + "; a text goes in quotes");
    }

    private void add(YamlNode node) {
        Frame frame = open.peek();
        if (frame == null) {
            root = node;
        } else if (frame.items != null) {
            frame.items.add(node);
        } else if (frame.entries != null && frame.key != null) {
            if (frame.keyIsUsable) {
                frame.entries.put(frame.key, new YamlMapping.Entry(frame.key, frame.keyPosition, node));
            }
            frame.key = null;
        }
    }

    private Position position(Event event) {
        return event.getStartMark().map(this::position).orElse(new Position(file, 1, 1));
    }

    private Position end(Event event) {
        return event.getEndMark().map(this::position).orElse(new Position(file, 1, 1));
    }

    private Position position(Mark mark) {
        return new Position(file, mark.getLine() + 1, mark.getColumn() + 1);
    }

    private Position positionOf(int index) {
        int line = 1;
        int lineStart = 0;
        for (int i = 0; i < index; i++) {
            if (text.charAt(i) == '\n') {
                line++;
                lineStart = i + 1;
            }
        }
        return new Position(file, line, text.codePointCount(lineStart, index) + 1);
    }

    private void tellBroken(MarkedYamlEngineException broken) {
        String problem = broken.getProblem() == null ? "" : oneLine(broken.getProblem());
        String context = broken.getContext() == null ? "" : oneLine(broken.getContext());
        if (problem.contains("TAB") && tellTabs()) {
            return;
        }
        Position at = broken.getProblemMark()
                .or(broken::getContextMark)
                .map(this::position)
                .orElse(new Position(file, 1, 1));
        String remedy = "check indentation, quotes and brackets here and just above";
        if (problem.startsWith("mapping values are not allowed")) {
            remedy = "put a text that contains a colon in quotes, or correct the indentation";
        } else if (problem.contains("but found '<block") || problem.contains("but found '-'")) {
            remedy = "indent this line like its neighbours";
        } else if (problem.contains("could not find expected ':'")) {
            remedy = "write key: value";
        } else if (context.contains("quoted scalar")) {
            // The end of the file is where it was noticed, the opening quote where to look.
            at = broken.getContextMark().map(this::position).orElse(at);
            remedy = "close the quote";
        } else if (context.contains("flow")) {
            remedy = "close the bracket, or put a comma between the values";
        } else if (problem.contains("cannot start any token") || problem.contains("special characters")) {
            remedy = "put the text in quotes";
        }
        problems.error(at, "this is not YAML: " + (context.isEmpty() ? "" : context + ": ") + problem, remedy);
    }

    /** True when at least one line is indented by tabs; all such lines are told. */
    private boolean tellTabs() {
        boolean told = false;
        int number = 0;
        for (String line : text.split("\n", -1)) {
            number++;
            String indent =
                    line.substring(0, line.length() - line.stripLeading().length());
            int tab = indent.indexOf('\t');
            if (tab >= 0 && !line.isBlank()) {
                problems.error(
                        new Position(file, number, tab + 1), "a tab indents this line", "indent with spaces only");
                told = true;
            }
        }
        return told;
    }

    private static String oneLine(@Nullable String message) {
        return message == null ? "" : message.replaceAll("\\s+", " ").strip();
    }
}
