package oilbird.gateway.modbus.inspect;

import java.io.PrintStream;
import java.util.Locale;
import java.util.Map;
import oilbird.gateway.command.inspect.MapFile;
import oilbird.gateway.modbus.FoundIdentification;
import oilbird.mapping.map.Identification;
import org.jspecify.annotations.Nullable;

/** Tells what a device says of itself, and whether the map is for it. */
final class Introduction {
    /** Names of the basic objects: MODBUS Application Protocol V1.1b3, 6.21. */
    private static final Map<Integer, String> OBJECTS =
            Map.of(0, "VendorName", 1, "ProductCode", 2, "MajorMinorRevision");

    private Introduction() {}

    /** False when the device does not answer, or is another product than the map is for. */
    static boolean of(DeviceProbe probe, @Nullable MapFile map, PrintStream out) {
        DeviceProbe.Identity identity = probe.identify();
        if (!identity.answers()) {
            out.println(probe + " does not answer: " + identity.why());
            return false;
        }
        FoundIdentification found = identity.found();
        Identification expected = map == null ? null : map.map().identification();
        if (found == null) {
            out.println(probe + " does not say what it is (function 43/14: " + identity.why() + ")");
            return true;
        }
        out.println(probe + " says of itself (function 43/14):");
        found.objects()
                .forEach((id, text) ->
                        out.printf(Locale.ROOT, "  %02X %-18s %s%n", id, OBJECTS.getOrDefault(id, ""), text));
        if (expected == null) {
            if (map != null) {
                out.println("The map has no identification: section; with these texts another product is found out.");
            }
            return true;
        }
        return switch (expected.judge(found.vendor(), found.product(), found.revision())) {
            case AS_MAPPED -> {
                out.println("The map is for it.");
                yield true;
            }
            case OTHER_FIRMWARE -> {
                out.println("The map was checked against firmware " + String.join(", ", expected.firmware()) + ", not "
                        + found.revision() + "; the gateway would take its readings as uncertain.");
                yield true;
            }
            case OTHER_PRODUCT -> {
                out.println("The map is for " + expected.shown() + ", another product; nothing more is read.");
                yield false;
            }
        };
    }
}
