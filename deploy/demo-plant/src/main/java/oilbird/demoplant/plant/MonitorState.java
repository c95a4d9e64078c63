package oilbird.demoplant.plant;

import java.util.LinkedHashMap;
import java.util.Map;
import oilbird.demoplant.course.Answering;
import oilbird.demoplant.device.DeviceImage;
import oilbird.demoplant.device.Nameplate;
import oilbird.demoplant.device.NodeValue;

/**
 * What a gateway would find at a monitor at one time.
 *
 * @param answering whether it answers; unless it does, the rest is what it would answer
 * @param nameplate what it says of itself
 * @param image its Modbus tables; empty ones for an OPC UA monitor
 * @param nodes its OPC UA variables by their string identifiers; empty for a Modbus monitor
 */
public record MonitorState(Answering answering, Nameplate nameplate, DeviceImage image, Map<String, NodeValue> nodes) {
    public MonitorState {
        nodes = new LinkedHashMap<>(nodes);
    }
}
