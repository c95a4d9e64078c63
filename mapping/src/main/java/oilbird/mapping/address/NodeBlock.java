package oilbird.mapping.address;

import java.util.List;

/**
 * The nodes of one poll class that are fetched together: by one subscription, or by reading them.
 *
 * @param name unique within the device map: {@code readings.subscribed}, {@code rarely.read}.
 * @param pollClass name of the poll class whose period is the publishing interval, or the period of reading.
 * @param items no node twice.
 */
public record NodeBlock(String name, String pollClass, boolean subscribed, List<Item> items) implements Request {
    /**
     * A node of the block.
     *
     * @param node how it is fetched; the same {@code subscribed} as the block.
     * @param stamps true where a new time stamp counts as a change too.
     */
    public record Item(Node node, boolean stamps) {}

    public NodeBlock {
        items = List.copyOf(items);
    }

    /** Where a node stands in the block; -1 where it does not. */
    public int index(NodeName name) {
        for (int i = 0; i < items.size(); i++) {
            if (items.get(i).node().name().equals(name)) {
                return i;
            }
        }
        return -1;
    }
}
