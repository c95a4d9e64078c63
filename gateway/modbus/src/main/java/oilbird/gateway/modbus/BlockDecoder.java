package oilbird.gateway.modbus;

import oilbird.mapping.address.RawBlock;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;

/** Gives the cells of one answered request their meaning; pure, called on the poller's thread. */
@FunctionalInterface
public interface BlockDecoder {
    /**
     * @param at when the whole answer had been received.
     */
    Decoded decode(RawBlock block, Moment at);
}
