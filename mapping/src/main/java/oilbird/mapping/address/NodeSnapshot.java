package oilbird.mapping.address;

import java.util.List;
import oilbird.mapping.signal.RawAnswer;

/**
 * The values of the nodes of one block at one time, before any meaning is given to them.
 *
 * @param values in the order of the block's items.
 */
public record NodeSnapshot(NodeBlock block, List<NodeValue> values) implements RawAnswer {
    public NodeSnapshot {
        values = List.copyOf(values);
        if (values.size() != block.items().size()) {
            throw new IllegalArgumentException(
                    "block " + block.name() + " has " + block.items().size() + " nodes, not " + values.size());
        }
    }

    @Override
    public String text() {
        StringBuilder text = new StringBuilder();
        for (int i = 0; i < values.size(); i++) {
            NodeValue value = values.get(i);
            text.append(i == 0 ? "" : "; ")
                    .append(block.items().get(i).node().name())
                    .append(" = ")
                    .append(value.content().raw())
                    .append(value.severity() == NodeValue.Severity.GOOD ? "" : " (" + value.statusName() + ")");
        }
        return text.toString();
    }
}
