package oilbird.gateway.engine;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.IntStream;
import oilbird.alarm.rule.AlarmRule;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.Rationalization;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.Scope;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.state.Acknowledgement;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmPolicy;
import oilbird.alarm.state.Priority;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationModel;
import oilbird.gateway.engine.writer.GatewayIndication;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Position;

/**
 * The invented station Windlow: one gas monitor with fans, one alarm a fan without delays, and one alarm for each
 * indication of the gateway itself.
 */
public final class StationFixture {
    public static final String GATEWAY = "windlow-gw";
    public static final String MONITOR = "gas-1";

    private StationFixture() {}

    public static StationModel model(int fans) {
        DeviceKind monitor = kind(
                "fan-monitor",
                "status",
                IntStream.range(0, fans).mapToObj(StationFixture::fan).toList());
        List<String> own = new ArrayList<>();
        for (GatewayIndication indication : GatewayIndication.values()) {
            own.add(indication.signal());
        }
        DeviceKind gateway = kind("gateway", GatewayIndication.BLOCK, own);
        StationFacts.Asset transformer = new StationFacts.Asset("tx-1", "Transformer 1", "transformer");
        StationFacts.Asset self = new StationFacts.Asset("gateway", "Gateway", "gateway");
        StationFacts.Device gas = new StationFacts.Device(MONITOR, "gas monitor", "tx-1", monitor, List.of());
        StationFacts.Device gw =
                new StationFacts.Device(GatewayIndication.DEVICE, "gateway", "gateway", gateway, List.of());
        List<RuleInstance> rules = new ArrayList<>();
        monitor.indications().forEach(indication -> rules.add(rule(transformer, gas, indication.name())));
        gateway.indications().forEach(indication -> rules.add(rule(self, gw, indication.name())));
        return new StationModel(
                new StationFacts("windlow", "Windlow", GATEWAY, List.of(transformer, self), List.of(gas, gw)),
                rules,
                StationModel.Settings.DEFAULT,
                "");
    }

    public static String fan(int index) {
        return "fan-" + index + "-stopped";
    }

    public static AlarmId alarm(int fan) {
        return new AlarmId("tx-1", MONITOR + "." + fan(fan));
    }

    public static AlarmId gatewayAlarm(GatewayIndication indication) {
        return new AlarmId("gateway", GatewayIndication.DEVICE + "." + indication.signal());
    }

    /** What the monitor answers: bit i of {@code stopped} for fan i. */
    public static StationInput.Observed fans(int fans, long stopped, Moment at) {
        List<Indication> indications = new ArrayList<>();
        for (int i = 0; i < fans; i++) {
            indications.add(Indication.of(new SignalId(MONITOR, fan(i)), (stopped >> i & 1) != 0, at));
        }
        return new StationInput.Observed(new Decoded(MONITOR, "status", List.of(), indications, List.of(), at));
    }

    private static DeviceKind kind(String map, String block, List<String> indications) {
        return new DeviceKind(
                map,
                "invented",
                List.of(),
                indications.stream()
                        .map(name -> new DeviceKind.NamedIndication(name, name, List.of(), false, List.of()))
                        .toList(),
                List.of(new DeviceKind.Block(block, Duration.ZERO, indications)));
    }

    private static RuleInstance rule(StationFacts.Asset asset, StationFacts.Device device, String indication) {
        Condition condition = new Condition.IndicationIs(new Condition.SignalName(null, indication), true);
        AlarmRule rule = new AlarmRule(
                indication,
                new Scope.NamedDevices(List.of(device.id())),
                indication,
                "",
                condition,
                null,
                new Rationalization(
                        AlarmClass.INSTRUMENT_DIAGNOSTIC,
                        Priority.MINOR,
                        Trouble.MONITOR,
                        List.of(),
                        "",
                        "",
                        "",
                        null,
                        "",
                        "",
                        false,
                        "",
                        "",
                        "",
                        "",
                        ""),
                new AlarmRule.Behaviour(null, null, null, null, null, null, null, null, null, null),
                List.of(),
                List.of(),
                List.of(),
                path -> new Position("windlow/rules.yaml", 1, 1));
        return new RuleInstance(
                new AlarmId(asset.id(), device.id() + "." + indication),
                rule,
                asset,
                device,
                condition,
                List.of(new SignalId(device.id(), indication)),
                new AlarmPolicy(
                        AlarmClass.INSTRUMENT_DIAGNOSTIC,
                        Priority.MINOR,
                        Duration.ZERO,
                        Duration.ZERO,
                        1,
                        1,
                        false,
                        Acknowledgement.BY_PERSON,
                        Duration.ZERO,
                        true,
                        Duration.ofHours(8),
                        true),
                List.of(),
                "",
                List.of());
    }
}
