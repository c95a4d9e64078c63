package oilbird.mapping.map;

import java.util.List;
import java.util.Objects;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;

/**
 * Which device the map is for, by the texts of Modbus device identification (function 43/14), or of nodes of an OPC UA
 * server.
 *
 * @param vendor object 00, or the text of a node.
 * @param product object 01, or the text of a node.
 * @param firmware patterns for object 02, or the text of a node, of the revisions that the map was checked against; {@code *}
 *     stands for any characters, {@code ?} for one. Empty: any.
 */
public record Identification(
        @Nullable String vendor, @Nullable String product, List<String> firmware) {
    /** What the device's own texts say about the map. */
    public enum Verdict {
        AS_MAPPED,
        /** Polling goes on; readings are uncertain. */
        OTHER_FIRMWARE,
        /** Nothing of it may be used. */
        OTHER_PRODUCT
    }

    public Identification {
        firmware = List.copyOf(firmware);
    }

    /**
     * Compares with what the device says of itself; spaces at the ends do not count. A text that the
     * device does not give is not held against it, save the firmware: then it is unknown.
     */
    public Verdict judge(
            @Nullable String actualVendor, @Nullable String actualProduct, @Nullable String actualFirmware) {
        if (differs(vendor, actualVendor) || differs(product, actualProduct)) {
            return Verdict.OTHER_PRODUCT;
        }
        if (firmware.isEmpty()) {
            return Verdict.AS_MAPPED;
        }
        String text = actualFirmware == null ? "" : actualFirmware.strip();
        return firmware.stream().anyMatch(pattern -> matches(pattern, text))
                ? Verdict.AS_MAPPED
                : Verdict.OTHER_FIRMWARE;
    }

    /** Vendor and product as far as the map names them, for people. */
    public String shown() {
        return Stream.of(vendor, product).filter(Objects::nonNull).collect(Collectors.joining(" "));
    }

    private static boolean differs(@Nullable String wanted, @Nullable String actual) {
        return wanted != null && actual != null && !wanted.strip().equals(actual.strip());
    }

    /** Linear in the product of the lengths; a pattern from a file must not be able to hang a poller. */
    private static boolean matches(String pattern, String text) {
        boolean[] reached = new boolean[text.length() + 1];
        reached[0] = true;
        for (int p = 0; p < pattern.length(); p++) {
            char wanted = pattern.charAt(p);
            boolean[] next = new boolean[text.length() + 1];
            for (int t = 0; t <= text.length(); t++) {
                if (wanted == '*') {
                    next[t] = reached[t] || (t > 0 && next[t - 1]);
                } else if (t > 0 && reached[t - 1] && (wanted == '?' || wanted == text.charAt(t - 1))) {
                    next[t] = true;
                }
            }
            reached = next;
        }
        return reached[text.length()];
    }
}
