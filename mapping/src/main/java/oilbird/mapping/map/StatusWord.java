package oilbird.mapping.map;

import java.util.List;
import oilbird.mapping.address.Address;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.WordOrder;

/**
 * A packed word of bits: one, two or four registers, a run of coils or discrete inputs, or an OPC UA integer.
 *
 * @param name unique among the map's words.
 * @param width 16, 32 or 64 in registers; 1 to 64 in a run of bits; 8, 16, 32 or 64 in an OPC UA integer, 1 in a
 *     Boolean.
 * @param numbering how the file counts the bits; {@code uses} count from the least significant, 0.
 * @param uses ascending by bit, not overlapping.
 */
public record StatusWord(
        String name,
        String text,
        Address address,
        int width,
        WordOrder order,
        BitNumbering numbering,
        String pollClass,
        List<BitUse> uses) {
    public StatusWord {
        uses = List.copyOf(uses);
    }

    /** The cells of a word in a Modbus device. */
    public Place place() {
        if (address instanceof Place place) {
            return place;
        }
        throw new IllegalStateException(name + " is at " + address);
    }

    /** Mask of the bits that the map knows, spare ones included. */
    public long known() {
        long mask = 0;
        for (BitUse use : uses) {
            mask |= use.mask();
        }
        return mask;
    }

    /** The bit fields, whose values are readings of their own names. */
    public List<BitUse.Field> fields() {
        return uses.stream()
                .filter(BitUse.Field.class::isInstance)
                .map(BitUse.Field.class::cast)
                .toList();
    }
}
