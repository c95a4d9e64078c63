package oilbird.mapping.address;

import java.util.List;

/**
 * The values of the nodes of one block at one time, before any meaning is given to them.
 *
 * @param values in the order of the block's items.
 */
public record NodeSnapshot(NodeBlock block, List<NodeValue> values) {
    public NodeSnapshot {
        values = List.copyOf(values);
        if (values.size() != block.items().size()) {
            throw new IllegalArgumentException(
                    "block " + block.name() + " has " + block.items().size() + " nodes, not " + values.size());
        }
    }
}
