package oilbird.gateway.modbus;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * What a device says of itself when it is the product that its device map was written for.
 *
 * <p>Read by function 43/14, basic identification: MODBUS Application Protocol V1.1b3, 6.21.
 *
 * @param vendor object 00, VendorName; null when any will do.
 * @param product object 01, ProductCode; null when any will do.
 * @param revisions object 02, MajorMinorRevision: every revision that the map was checked against; empty when
 *     any will do.
 */
public record ExpectedIdentification(
        @Nullable String vendor, @Nullable String product, List<String> revisions) {
    public ExpectedIdentification {
        revisions = List.copyOf(revisions);
    }
}
