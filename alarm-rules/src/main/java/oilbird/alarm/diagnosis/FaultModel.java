package oilbird.alarm.diagnosis;

import java.util.List;
import java.util.Map;
import oilbird.alarm.rule.Shared;
import oilbird.mapping.text.Position;

/**
 * What can go wrong with the devices of one device map, and with what they watch.
 *
 * @param file path for messages.
 * @param map id of the device map.
 * @param causes in file order.
 * @param otherwise how often a sign shows without any of the causes, by the sign as written.
 * @param shared what such a device shows when something that it shares with others fails.
 */
public record FaultModel(
        String file,
        String map,
        Position mapPosition,
        List<Cause> causes,
        Map<SignName, Rate> otherwise,
        Map<Shared.Kind, List<Produced>> shared) {
    public FaultModel {
        causes = List.copyOf(causes);
    }
}
