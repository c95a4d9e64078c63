package oilbird.gateway.station;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.DeviceKind.NamedIndication;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.StationFacts;

/** A switch, line or Modbus gateway as a device of its station, so that rules speak of its loss as of any indication. */
final class SharedDevice {
    private static final int LEAST_DEVICES = 2;

    private SharedDevice() {}

    /** True where its loss can be told from that of a device. */
    static boolean canBeLost(Shared shared) {
        return shared.kind().carriesTraffic() && shared.devices().size() >= LEAST_DEVICES;
    }

    static StationFacts.Device of(Shared shared) {
        List<NamedIndication> indications = List.of(
                new NamedIndication("lost", "no device behind it answers", List.of(), false, List.of()),
                new NamedIndication(
                        "returning",
                        "back; not all devices behind it have been asked again",
                        List.of(),
                        true,
                        List.of()));
        DeviceKind kind = new DeviceKind(
                shared.kind().written(),
                shared.name(),
                List.of(),
                indications,
                List.of(new DeviceKind.Block("shared", Duration.ZERO, List.of("lost", "returning"))));
        return new StationFacts.Device(shared.id(), shared.name(), shared.asset(), kind, List.of());
    }
}
