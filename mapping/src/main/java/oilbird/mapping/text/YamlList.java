package oilbird.mapping.text;

import java.util.List;

/** Values in file order. */
public final class YamlList extends YamlNode {
    private final List<YamlNode> items;

    YamlList(Position position, Problems problems, List<YamlNode> items) {
        super(position, problems);
        this.items = items;
    }

    static YamlList empty(Position position, Problems problems) {
        return new YamlList(position, problems, List.of());
    }

    @Override
    String shown() {
        return "a list";
    }

    @Override
    public YamlList asList() {
        return this;
    }

    public List<YamlNode> items() {
        return items;
    }
}
