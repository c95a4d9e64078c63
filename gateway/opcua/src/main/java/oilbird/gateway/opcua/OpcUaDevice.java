package oilbird.gateway.opcua;

import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.Map;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.map.Identification;
import oilbird.mapping.map.NodePlan;
import org.jspecify.annotations.Nullable;

/**
 * How one device is followed as an OPC UA server.
 *
 * @param device device id in the station file; unique within a poller.
 * @param periods publishing interval, or period of reading, of each poll class that a block names.
 * @param expected which product the device map is for; null when the device is not asked what it is.
 */
public record OpcUaDevice(
        String device,
        OpcUaEndpoint endpoint,
        NodePlan plan,
        Map<String, Duration> periods,
        NodeDecoder decoder,
        @Nullable Identification expected) {
    public OpcUaDevice {
        periods = new LinkedHashMap<>(periods);
        for (NodeBlock block : plan.blocks()) {
            if (!periods.containsKey(block.pollClass())) {
                throw new IllegalArgumentException(device + ": no period for block " + block.name());
            }
        }
    }

    Duration period(NodeBlock block) {
        return periods.getOrDefault(block.pollClass(), Duration.ofSeconds(1));
    }
}
