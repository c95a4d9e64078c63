package oilbird.gateway.opcua;

import java.util.ArrayList;
import java.util.List;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.NodeSnapshot;
import oilbird.mapping.address.NodeValue;
import org.jspecify.annotations.Nullable;

/** The newest value of each node of a subscribed block. Used under one lock. */
final class BlockImage {
    private final NodeBlock block;
    private final @Nullable NodeValue[] values;

    /** A value that the server told of one node. */
    record Change(int item, NodeValue value) {}

    BlockImage(NodeBlock block) {
        this.block = block;
        this.values = new @Nullable NodeValue[block.items().size()];
    }

    /**
     * Takes what one answer told, in its order. Where a node comes several times the server had kept several values
     * of it: there are then as many snapshots, so that a bit that came and went between two answers is seen.
     *
     * @return nothing until every node has a value.
     */
    List<NodeSnapshot> take(List<Change> changes) {
        List<List<NodeValue>> queued = new ArrayList<>();
        for (int i = 0; i < values.length; i++) {
            queued.add(new ArrayList<>());
        }
        int longest = 0;
        for (Change change : changes) {
            List<NodeValue> of = queued.get(change.item());
            of.add(change.value());
            longest = Math.max(longest, of.size());
        }
        List<NodeSnapshot> snapshots = new ArrayList<>();
        for (int step = 0; step < longest; step++) {
            for (int i = 0; i < values.length; i++) {
                if (step < queued.get(i).size()) {
                    values[i] = queued.get(i).get(step);
                }
            }
            NodeSnapshot snapshot = snapshot();
            if (snapshot != null) {
                snapshots.add(snapshot);
            }
        }
        return snapshots;
    }

    /** How everything stands; null until every node has a value. */
    @Nullable
    NodeSnapshot snapshot() {
        List<NodeValue> all = new ArrayList<>(values.length);
        for (NodeValue value : values) {
            if (value == null) {
                return null;
            }
            all.add(value);
        }
        return new NodeSnapshot(block, all);
    }

    /** Items that have no value yet. */
    List<Integer> missing() {
        List<Integer> missing = new ArrayList<>();
        for (int i = 0; i < values.length; i++) {
            if (values[i] == null) {
                missing.add(i);
            }
        }
        return missing;
    }
}
