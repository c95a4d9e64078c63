package oilbird.gateway.opcua;

import oilbird.mapping.address.NodeSnapshot;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;

/** Gives the values of one block their meaning; pure, called on the poller's threads. */
@FunctionalInterface
public interface NodeDecoder {
    /**
     * @param at when the answer had been received that told the values, or told that they stand.
     */
    Decoded decode(NodeSnapshot snapshot, Moment at);
}
