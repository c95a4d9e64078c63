package oilbird.mapping.signal;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Everything that one answered request of one device says.
 *
 * @param device device id in the station file.
 * @param block name of the read block, unique within the device.
 * @param raw the answer itself; null where there is none to be kept.
 */
public record Decoded(
        String device,
        String block,
        List<Reading> readings,
        List<Indication> indications,
        List<StatusWordValue> words,
        Moment at,
        @Nullable RawAnswer raw) {
    /** What is said without an answer of a device. */
    public Decoded(
            String device,
            String block,
            List<Reading> readings,
            List<Indication> indications,
            List<StatusWordValue> words,
            Moment at) {
        this(device, block, readings, indications, words, at, null);
    }

    public Decoded {
        readings = List.copyOf(readings);
        indications = List.copyOf(indications);
        words = List.copyOf(words);
    }
}
