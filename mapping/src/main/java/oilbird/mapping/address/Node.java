package oilbird.mapping.address;

import java.time.Duration;

/**
 * A node of an OPC UA server, and how its value is fetched.
 *
 * @param subscribed true where the server is asked to tell changes, false where the node is read.
 * @param sampling how often the server is asked to look at the value, for a subscribed node.
 * @param queue values that the server keeps between two answers, 1 to 1000, for a subscribed node.
 */
public record Node(NodeName name, boolean subscribed, Duration sampling, int queue) implements Address {
    public Node {
        if (queue < 1 || queue > 1000) {
            throw new IllegalArgumentException("a queue of " + queue);
        }
    }
}
