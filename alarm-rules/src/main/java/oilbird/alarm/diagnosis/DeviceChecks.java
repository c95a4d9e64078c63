package oilbird.alarm.diagnosis;

import java.util.List;
import java.util.Optional;
import oilbird.mapping.signal.Supply;
import org.jspecify.annotations.Nullable;

/**
 * The first checks of one device.
 *
 * @param device id of the device.
 * @param asset id of its asset.
 * @param checks those of its fault model, then those of its device map, in file order.
 * @param order ids of checks in the order that the fault model fixes; empty where the next one is computed.
 * @param rated the supplies for which the device is rated; empty where nobody said.
 * @param nominal the station's supply that it hangs on; null where nobody said.
 */
public record DeviceChecks(
        String device,
        String asset,
        List<BoundCheck> checks,
        List<String> order,
        List<Supply> rated,
        @Nullable Supply nominal) {
    public DeviceChecks {
        checks = List.copyOf(checks);
        order = List.copyOf(order);
        rated = List.copyOf(rated);
    }

    /** The check with this id, the device's before the dot. */
    public Optional<BoundCheck> check(String id) {
        return checks.stream().filter(c -> c.id().equals(id)).findFirst();
    }
}
