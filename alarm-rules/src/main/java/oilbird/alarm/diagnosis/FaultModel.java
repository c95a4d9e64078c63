package oilbird.alarm.diagnosis;

import java.util.List;
import java.util.Map;
import oilbird.alarm.rule.Shared;
import oilbird.mapping.check.CheckReader;
import oilbird.mapping.signal.Supply;
import oilbird.mapping.text.Position;

/**
 * What can go wrong with the devices of one device map, and with what they watch.
 *
 * @param file path for messages.
 * @param map id of the device map.
 * @param causes in file order.
 * @param otherwise how often a sign shows without any of the causes, by the sign as written.
 * @param shared what such a device shows when something that it shares with others fails.
 * @param checks first checks of the file, beside those of the device map.
 * @param order names of first checks in a fixed order; empty where the next one is computed.
 * @param rated the supplies for which such a device is rated; empty where nobody said.
 */
public record FaultModel(
        String file,
        String map,
        Position mapPosition,
        List<Cause> causes,
        Map<SignName, Rate> otherwise,
        Map<Shared.Kind, List<Produced>> shared,
        CheckReader.Section checks,
        List<Ordered> order,
        List<Supply> rated) {
    /** A check in the fixed order. */
    public record Ordered(String check, Position position) {}

    public FaultModel {
        causes = List.copyOf(causes);
        order = List.copyOf(order);
        rated = List.copyOf(rated);
    }
}
