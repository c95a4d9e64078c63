package oilbird.mapping.map;

import java.util.List;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.NodeName;

/**
 * How everything is fetched from an OPC UA server.
 *
 * @param blocks in the order of the poll classes, the subscribed before the read.
 * @param vendor node of the text that {@link Identification#vendor()} is compared with.
 * @param product node of the product's text.
 * @param firmware node of the firmware's text.
 */
public record NodePlan(List<NodeBlock> blocks, NodeName vendor, NodeName product, NodeName firmware) {
    /** Server_ServerStatus_BuildInfo_ManufacturerName; OPC UA Part 5, 12.4, numbers from Part 6, Annex A. */
    public static final NodeName BUILD_MANUFACTURER = NodeName.standard(2263);

    /** Server_ServerStatus_BuildInfo_ProductName. */
    public static final NodeName BUILD_PRODUCT = NodeName.standard(2261);

    /** Server_ServerStatus_BuildInfo_SoftwareVersion. */
    public static final NodeName BUILD_SOFTWARE = NodeName.standard(2264);

    public NodePlan {
        blocks = List.copyOf(blocks);
    }
}
