package oilbird.mapping.text;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/** Keys and values in file order, each with its position. Keys are texts, never resolved to numbers or booleans. */
public final class YamlMapping extends YamlNode {
    /** A key with its value. */
    public record Entry(String key, Position keyPosition, YamlNode value) {}

    private final Map<String, Entry> entries;

    private final @Nullable Position braceEnd;

    /**
     * @param braceEnd where the mapping in braces ends; null for one of lines.
     */
    YamlMapping(Position position, Problems problems, Map<String, Entry> entries, @Nullable Position braceEnd) {
        super(position, problems);
        this.entries = entries;
        this.braceEnd = braceEnd;
    }

    static YamlMapping empty(Position position, Problems problems) {
        return new YamlMapping(position, problems, new LinkedHashMap<>(), null);
    }

    @Override
    String shown() {
        return "a mapping";
    }

    /** True where it is written in braces on the lines of others, false where each key has a line of its own. */
    public boolean inBraces() {
        return braceEnd != null;
    }

    @Override
    public Position end() {
        if (braceEnd != null) {
            return braceEnd;
        }
        Position end = position();
        for (Entry entry : entries.values()) {
            end = entry.value().end();
        }
        return end;
    }

    @Override
    public YamlMapping asMapping() {
        return this;
    }

    public Collection<Entry> entries() {
        return entries.values();
    }

    public boolean has(String key) {
        return entries.containsKey(key);
    }

    public @Nullable YamlNode get(String key) {
        Entry entry = entries.get(key);
        return entry == null ? null : entry.value();
    }

    /** Where the key stands; where the mapping begins if it has no such key. */
    public Position keyPosition(String key) {
        Entry entry = entries.get(key);
        return entry == null ? position() : entry.keyPosition();
    }

    /** Where the value of the key stands; where the mapping begins if it has no such key. */
    public Position valuePosition(String key) {
        Entry entry = entries.get(key);
        return entry == null ? position() : entry.value().position();
    }

    private @Nullable YamlNode required(String key) {
        YamlNode value = get(key);
        if (value == null) {
            Mistakes.missingKey(this, key);
        }
        return value;
    }

    public String text(String key) {
        YamlNode value = required(key);
        return value == null ? "" : value.asText();
    }

    public String text(String key, String absent) {
        YamlNode value = get(key);
        return value == null ? absent : value.asText();
    }

    public @Nullable String textOrNull(String key) {
        YamlNode value = get(key);
        return value == null ? null : value.asText();
    }

    public long whole(String key) {
        YamlNode value = required(key);
        return value == null ? 0 : value.asWhole();
    }

    public long whole(String key, long absent) {
        YamlNode value = get(key);
        return value == null ? absent : value.asWhole();
    }

    public double decimal(String key) {
        YamlNode value = required(key);
        return value == null ? 0 : value.asDecimal();
    }

    public double decimal(String key, double absent) {
        YamlNode value = get(key);
        return value == null ? absent : value.asDecimal();
    }

    public @Nullable Double decimalOrNull(String key) {
        YamlNode value = get(key);
        return value == null ? null : (Double) value.asDecimal();
    }

    public boolean truth(String key, boolean absent) {
        YamlNode value = get(key);
        return value == null ? absent : value.asTruth();
    }

    public Duration duration(String key) {
        YamlNode value = required(key);
        return value == null ? Duration.ZERO : value.asDuration();
    }

    public Duration duration(String key, Duration absent) {
        YamlNode value = get(key);
        return value == null ? absent : value.asDuration();
    }

    public @Nullable Duration durationOrNull(String key) {
        YamlNode value = get(key);
        return value == null ? null : value.asDuration();
    }

    public <E extends Enum<E>> E choice(String key, Class<E> of) {
        YamlNode value = required(key);
        return value == null ? of.getEnumConstants()[0] : value.asChoice(of);
    }

    public <E extends Enum<E>> E choice(String key, E absent) {
        YamlNode value = get(key);
        return value == null ? absent : value.asChoice(absent.getDeclaringClass());
    }

    /** The mapping under a key; an empty one when there is no such key. */
    public YamlMapping mapping(String key) {
        YamlNode value = get(key);
        return value == null ? empty(position(), problems()) : value.asMapping();
    }

    /** The list under a key; an empty one when there is no such key. */
    public YamlList list(String key) {
        YamlNode value = get(key);
        return value == null ? YamlList.empty(position(), problems()) : value.asList();
    }

    /** The list of texts under a key; an empty one when there is no such key. */
    public List<String> texts(String key) {
        List<String> texts = new ArrayList<>();
        for (YamlNode item : list(key).items()) {
            texts.add(item.asText());
        }
        return List.copyOf(texts);
    }
}
