package oilbird.gateway.modbus;

import java.util.Map;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;

/**
 * What a device says of itself by function 43/14.
 *
 * @param objects text of each object id, without the blanks or zeros that some devices pad with; 00 VendorName, 01 ProductCode, 02 MajorMinorRevision.
 */
public record FoundIdentification(Map<Integer, String> objects) {
    public FoundIdentification {
        objects = new TreeMap<>(objects);
        objects.replaceAll((id, text) -> text.replace('\0', ' ').strip());
    }

    public @Nullable String vendor() {
        return objects.get(0);
    }

    public @Nullable String product() {
        return objects.get(1);
    }

    public @Nullable String revision() {
        return objects.get(2);
    }

    @Override
    public String toString() {
        return vendor() + " " + product() + " " + revision();
    }
}
