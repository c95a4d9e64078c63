package oilbird.mapping.text;

import java.util.List;
import org.jspecify.annotations.Nullable;

/** Values in file order. */
public final class YamlList extends YamlNode {
    private final List<YamlNode> items;

    private final @Nullable Position bracketEnd;

    /**
     * @param bracketEnd where the list in brackets ends; null for a list of dashes.
     */
    YamlList(Position position, Problems problems, List<YamlNode> items, @Nullable Position bracketEnd) {
        super(position, problems);
        this.items = items;
        this.bracketEnd = bracketEnd;
    }

    static YamlList empty(Position position, Problems problems) {
        return new YamlList(position, problems, List.of(), null);
    }

    @Override
    String shown() {
        return "a list";
    }

    @Override
    public Position end() {
        if (bracketEnd != null) {
            return bracketEnd;
        }
        return items.isEmpty() ? position() : items.get(items.size() - 1).end();
    }

    @Override
    public YamlList asList() {
        return this;
    }

    public List<YamlNode> items() {
        return items;
    }
}
