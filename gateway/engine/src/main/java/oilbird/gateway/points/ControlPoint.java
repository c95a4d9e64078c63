package oilbird.gateway.points;

/**
 * One row of a point list.
 *
 * @param address as the link's protocol writes it: for OPC UA the string identifier of a NodeId. Never given to
 *     anything else again.
 * @param inverted true where the control room wants "off" for what holds.
 * @param text what is shown there, in plain ASCII.
 * @param unit unit of a measured value, empty for none.
 */
public record ControlPoint(
        String address, PointSubject subject, PointType type, boolean inverted, String text, String unit) {}
