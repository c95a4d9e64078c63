package oilbird.gateway.opcua.inspect;

import java.io.IOException;
import java.io.PrintStream;
import oilbird.gateway.opcua.Probe;
import oilbird.gateway.opcua.ServerStatus.FoundProduct;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.Identification;
import oilbird.mapping.map.NodePlan;
import org.jspecify.annotations.Nullable;

/** Tells what a server says of itself, and whether the map is for it. */
final class Introduction {
    private Introduction() {}

    /** False when it is another product than the map is for. */
    static boolean of(Probe probe, String url, @Nullable DeviceMap map, PrintStream out)
            throws IOException, InterruptedException {
        NodePlan plan = map == null ? null : map.nodes();
        FoundProduct found = plan == null
                ? probe.product(NodePlan.BUILD_MANUFACTURER, NodePlan.BUILD_PRODUCT, NodePlan.BUILD_SOFTWARE)
                : probe.product(plan.vendor(), plan.product(), plan.firmware());
        out.println(url + " says of itself:");
        out.println("  vendor    " + said(found.vendor()));
        out.println("  product   " + said(found.product()));
        out.println("  firmware  " + said(found.firmware()));
        out.println("Its namespaces, by their indexes of now:");
        int index = 0;
        for (String uri : probe.namespaces()) {
            out.println("  " + index++ + "  " + uri);
        }
        Identification expected = map == null ? null : map.identification();
        if (expected == null) {
            return true;
        }
        return switch (expected.judge(found.vendor(), found.product(), found.firmware())) {
            case AS_MAPPED -> {
                out.println("The map is for it.");
                yield true;
            }
            case OTHER_FIRMWARE -> {
                out.println("The map was checked against firmware " + String.join(", ", expected.firmware()) + ", not "
                        + found.firmware() + "; the gateway would take its readings as uncertain.");
                yield true;
            }
            case OTHER_PRODUCT -> {
                out.println("The map is for " + expected.shown() + ", another product; nothing more is read.");
                yield false;
            }
        };
    }

    private static String said(@Nullable String text) {
        return text == null ? "-" : text;
    }
}
