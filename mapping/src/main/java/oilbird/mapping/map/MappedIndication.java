package oilbird.mapping.map;

import java.util.List;
import oilbird.mapping.signal.FirstCheck;
import org.jspecify.annotations.Nullable;

/**
 * What an indication of a device means.
 *
 * @param name unique among the map's indications; the second part of the indication's {@code SignalId}.
 * @param text short plain words for what holds, to follow the device's name: {@code cabinet fan stopped}.
 * @param meaning one or two sentences for somebody who does not know the device; null where the text says all.
 * @param engineerOnly true where it is nothing for an operator.
 * @param service true where it says that somebody works on or calibrates the device.
 * @param keepAway true where nobody is sent near the asset while it holds.
 * @param firstChecks ascending by exposure.
 * @param verified null while nobody compared the bit with the local display.
 * @param word name of the status word that carries it; of the point, for the indication of a clock; empty where a
 *     feature makes it.
 */
public record MappedIndication(
        String name,
        String text,
        @Nullable String meaning,
        boolean engineerOnly,
        boolean service,
        boolean keepAway,
        TrustEffect makes,
        List<FirstCheck> firstChecks,
        @Nullable String semantic,
        @Nullable Verification verified,
        String word) {
    public MappedIndication {
        firstChecks = List.copyOf(firstChecks);
    }

    MappedIndication verifiedBy(@Nullable Verification verification) {
        return new MappedIndication(
                name, text, meaning, engineerOnly, service, keepAway, makes, firstChecks, semantic, verification, word);
    }
}
