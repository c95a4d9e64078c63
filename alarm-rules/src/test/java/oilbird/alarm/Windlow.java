package oilbird.alarm;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.rule.AlarmRule;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.DeviceKind.Block;
import oilbird.alarm.rule.DeviceKind.Doubting;
import oilbird.alarm.rule.DeviceKind.NamedIndication;
import oilbird.alarm.rule.DeviceKind.Point;
import oilbird.alarm.rule.DeviceKind.Range;
import oilbird.alarm.rule.RuleBinder;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.RuleReader;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.rule.StationFacts.Asset;
import oilbird.alarm.rule.StationFacts.Device;
import oilbird.mapping.signal.Caution;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.text.Loaded;
import org.jspecify.annotations.Nullable;

/** The invented station Windlow of the invented utility Fenmarch Electric, as rules see it. */
public final class Windlow {
    /** An analysis takes a quarter of a minute here; a real one takes hours. */
    public static final Duration ANALYSIS = Duration.ofSeconds(15);

    public static final List<String> GASES = List.of("hydrogen", "methane", "acetylene");

    public static final FirstCheck LISTEN = new FirstCheck(
            "look-at-cabinet-air-path",
            1,
            "From outside the closed cabinet, listen for the fan",
            "a steady hum",
            List.of(new FirstCheck.Outcome("no hum", "the fan does not turn")),
            List.of(Caution.S25, Caution.S28, Caution.S29),
            10);
    public static final FirstCheck COMPARE = new FirstCheck(
            "compare-fan-and-heat-sink",
            0,
            "On the screen, compare fan speed and heat sink temperature",
            null,
            List.of(new FirstCheck.Outcome("no speed", "the fan has stopped")),
            List.of(Caution.S30),
            3);

    public static final DeviceKind GAS_MONITOR = new DeviceKind(
            "hbg-8",
            "gas-in-oil monitor HBG-8 (invented)",
            List.of(
                    plain("analysis-counter", "analysis counter", "", null),
                    gas("hydrogen"),
                    gas("methane"),
                    gas("acetylene"),
                    plain("cabinet-air-temperature", "cabinet air temperature", "degC", new Range(-40, 85)),
                    plain("heat-sink-temperature", "heat sink temperature", "degC", new Range(-40, 120)),
                    plain("oil-flow", "oil flow through the gas cell", "l/min", new Range(0, 5))),
            List.of(
                    new NamedIndication(
                            "cabinet-fan-stopped", "cabinet fan stopped", List.of(), false, List.of(LISTEN, COMPARE)),
                    new NamedIndication("oil-flow-low", "oil flow too low", gases(false, 1), false, List.of()),
                    new NamedIndication("detector-fault", "gas detector faulty", gases(true, 1), false, List.of()),
                    new NamedIndication(
                            "cell-cold",
                            "gas cell too cold",
                            List.of(new Doubting("oil-flow", false, 3)),
                            false,
                            List.of()),
                    new NamedIndication("clock-not-set", "clock not set", List.of(), true, List.of())),
            List.of(
                    new Block(
                            "status",
                            Duration.ofMillis(500),
                            List.of(
                                    "analysis-counter",
                                    "hydrogen",
                                    "methane",
                                    "acetylene",
                                    "cabinet-fan-stopped",
                                    "oil-flow-low",
                                    "detector-fault",
                                    "cell-cold",
                                    "clock-not-set")),
                    new Block(
                            "readings",
                            Duration.ofSeconds(1),
                            List.of("cabinet-air-temperature", "heat-sink-temperature", "oil-flow"))));

    public static final DeviceKind COOLING_CONTROL = new DeviceKind(
            "tcc-4",
            "cooling control TCC-4 (invented)",
            List.of(
                    plain("top-oil-temperature", "top oil temperature", "degC", new Range(-40, 130)),
                    Point.field("control-mode", "control mode", List.of("automatic", "manual", "switched off"))),
            List.of(
                    new NamedIndication("fan-vibration", "fan vibration", List.of(), false, List.of()),
                    new NamedIndication("pump-running", "oil pump running", List.of(), false, List.of())),
            List.of(new Block(
                    "all",
                    Duration.ofMillis(500),
                    List.of("top-oil-temperature", "control-mode", "fan-vibration", "pump-running"))));

    public static final DeviceKind GATEWAY = new DeviceKind(
            "gateway",
            "the gateway itself",
            List.of(),
            List.of(new NamedIndication("disk-full", "disk full", List.of(), false, List.of())),
            List.of(new Block("self", Duration.ofSeconds(1), List.of("disk-full"))));

    private Windlow() {}

    public static StationFacts facts() {
        return facts(List.of());
    }

    /**
     * @param unverified names of points and indications of the gas monitors that nobody has verified.
     */
    public static StationFacts facts(List<String> unverified) {
        return new StationFacts(
                "windlow",
                "Windlow",
                "gw1",
                List.of(
                        new Asset("t1", "Transformer 1", "transformer"),
                        new Asset("t2", "Transformer 2", "transformer"),
                        new Asset("gateway", "Gateway", "gateway")),
                List.of(
                        new Device("gas-t1", "gas monitor", "t1", GAS_MONITOR, unverified),
                        new Device("cooling-t1", "cooling control", "t1", COOLING_CONTROL, List.of()),
                        new Device("gas-t2", "gas monitor", "t2", GAS_MONITOR, unverified),
                        new Device("cooling-t2", "cooling control", "t2", COOLING_CONTROL, List.of()),
                        new Device("gateway", "gateway", "gateway", GATEWAY, List.of())));
    }

    /** Rules from files beside the tests of rules; any error in them is a bug of the test. */
    public static List<RuleInstance> rules(StationFacts facts, String... files) {
        List<AlarmRule> rules = new ArrayList<>();
        for (String file : files) {
            rules.addAll(valid(RuleReader.read(file, text("/oilbird/alarm/rule/" + file))));
        }
        return valid(RuleBinder.bind(rules, facts));
    }

    public static List<RuleInstance> rulesOf(StationFacts facts, String... rules) {
        return valid(RuleBinder.bind(valid(RuleReader.read("test.yaml", file(rules))), facts));
    }

    /** A rule file with these rules, each written with its key in the first line and no indentation. */
    public static String file(String... rules) {
        StringBuilder text =
                new StringBuilder("alarm_rules: 1\nowner: test\nrationalized: {by: test, on: 2026-01-01}\nrules:\n");
        for (String rule : rules) {
            rule.lines().forEach(line -> text.append("  ").append(line).append('\n'));
        }
        return text.toString();
    }

    public static <T> T valid(Loaded<T> loaded) {
        return loaded.result().orElseThrow(() -> new IllegalArgumentException(String.valueOf(loaded.problems())));
    }

    public static String text(String resource) {
        try (InputStream in = Windlow.class.getResourceAsStream(resource)) {
            if (in == null) {
                throw new IllegalArgumentException("no such resource: " + resource);
            }
            return new String(in.readAllBytes(), StandardCharsets.UTF_8);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private static Point gas(String name) {
        return new Point(
                name, name, "ppm", "gas", new Range(0, 20_000), ANALYSIS, ANALYSIS.multipliedBy(2), "analysis-counter");
    }

    private static Point plain(String name, String label, String unit, @Nullable Range range) {
        return new Point(name, label, unit, "", range, Duration.ZERO, Duration.ZERO, null);
    }

    private static List<Doubting> gases(boolean worthless, int periodsAfter) {
        return GASES.stream().map(g -> new Doubting(g, worthless, periodsAfter)).toList();
    }
}
