package oilbird.gateway.station;

import java.time.Duration;
import java.util.List;
import java.util.stream.Stream;
import oilbird.alarm.rule.DeviceKind;
import oilbird.gateway.engine.writer.GatewayIndication;

/** The gateway as a device of its own station, so that rules speak of it as of any other. */
final class GatewayDevice {
    /** What the fold itself tells of its start-up hold. */
    private static final String STARTING_UP = "starting-up";

    private GatewayDevice() {}

    static DeviceKind kind() {
        List<DeviceKind.NamedIndication> indications = Stream.concat(
                        Stream.of(GatewayIndication.values()).map(i -> indication(i.signal(), text(i))),
                        Stream.of(indication(STARTING_UP, "the station starts up")))
                .toList();
        return new DeviceKind(
                GatewayIndication.DEVICE,
                "Oilbird gateway",
                List.of(),
                indications,
                List.of(new DeviceKind.Block(
                        GatewayIndication.BLOCK,
                        Duration.ZERO,
                        indications.stream()
                                .map(DeviceKind.NamedIndication::name)
                                .toList())));
    }

    private static DeviceKind.NamedIndication indication(String name, String text) {
        return new DeviceKind.NamedIndication(name, text, List.of(), false, List.of());
    }

    private static String text(GatewayIndication indication) {
        return switch (indication) {
            case RECORD_NOT_WRITTEN -> "event record not written";
            case RECORD_SET_ASIDE -> "damaged event record set aside";
            case EVENTS_NOT_RECORDED -> "events lost from the record";
            case INPUTS_LOST -> "inputs lost";
            case CLOCK_NOT_TRUSTED -> "clock not to be trusted";
            case START_NOT_RECORDED -> "start not recorded";
            case EVENTS_REFUSED -> "events refused by the other side of a link";
            case INTERNAL_FAULT -> "internal fault";
            case BREAK_GLASS_USED -> "break-glass code used";
            case SECRETS_EXPOSED -> "secrets exposed to other users of the machine";
            case CERTIFICATE_EXPIRING -> "certificate expires";
            case LINK_FALLS_BEHIND -> "a link is far behind";
            case LINK_EVENTS_MISSED -> "events missed by the other side of a link";
            case RECORD_CUT_SHORT -> "event record too small";
            case LINK_BUDGET_USED -> "budget of a link used up";
        };
    }
}
