package oilbird.mapping.signal;

import java.util.List;

/**
 * Everything that one answered request of one device says.
 *
 * @param device device id in the station file.
 * @param block name of the read block, unique within the device.
 */
public record Decoded(
        String device,
        String block,
        List<Reading> readings,
        List<Indication> indications,
        List<StatusWordValue> words,
        Moment at) {
    public Decoded {
        readings = List.copyOf(readings);
        indications = List.copyOf(indications);
        words = List.copyOf(words);
    }
}
