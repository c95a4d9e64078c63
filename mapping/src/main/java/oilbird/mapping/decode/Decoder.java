package oilbird.mapping.decode;

import oilbird.mapping.address.RawBlock;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;

/** Decodes the answered requests of all devices of one type. Immutable; any thread may use it. */
public final class Decoder {
    private final DeviceMap map;

    public Decoder(DeviceMap map) {
        this.map = map;
    }

    /**
     * Everything that the answer says.
     *
     * @param device device id in the station file.
     * @param raw the answer to a block of the map's own read plan.
     * @param at when it came.
     * @throws IllegalArgumentException if the block is not of the map's plan.
     */
    public Decoded decode(String device, RawBlock raw, Moment at) {
        throw new UnsupportedOperationException(map.name());
    }
}
