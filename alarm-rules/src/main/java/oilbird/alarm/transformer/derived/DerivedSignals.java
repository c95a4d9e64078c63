package oilbird.alarm.transformer.derived;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.transformer.gas.Fault;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GuideTables2019;
import oilbird.alarm.transformer.gas.Method;

/**
 * The points and indications that a transformer's derived device has. They are the same for every transformer; what
 * has no input is told to have none.
 */
public final class DerivedSignals {
    /** The name under which rules speak of every derived device: {@code for: {map: computed}}. */
    public static final String MAP = "computed";

    /** A part of the computations whose results change together. */
    public enum Block {
        GAS,
        LABORATORY,
        WATER,
        HEAT;

        /** Name of the block of signals. */
        public String key() {
            return switch (this) {
                case GAS -> "gas";
                case LABORATORY -> "laboratory";
                case WATER -> "water";
                case HEAT -> "heat";
            };
        }
    }

    // Indications that others rely on by name.
    public static final String DISCHARGE_SUSPECTED = "discharge-suspected";
    public static final String GAS_RISE_FAST = "gas-rise-fast";
    public static final String MONITOR_DISAGREES = "monitor-disagrees-with-laboratory";

    static final String ANALYSES = "analyses";
    static final List<Gas> FAULT_GASES = List.of(Gas.H2, Gas.CH4, Gas.C2H6, Gas.C2H4, Gas.C2H2);

    private static final List<Declared> POINTS = points();
    private static final List<Told> INDICATIONS = indications();
    private static final DeviceKind KIND = kind();

    private record Declared(Block block, DeviceKind.Point point) {}

    private record Told(Block block, DeviceKind.NamedIndication indication) {}

    private DerivedSignals() {}

    /** What rules may speak of. */
    public static DeviceKind kindOfDevice() {
        return KIND;
    }

    /** Names of the points of a block, in order. */
    static List<String> points(Block block) {
        return POINTS.stream()
                .filter(d -> d.block() == block)
                .map(d -> d.point().name())
                .toList();
    }

    /** Names of the indications of a block, in order. */
    static List<String> indications(Block block) {
        return INDICATIONS.stream()
                .filter(d -> d.block() == block)
                .map(d -> d.indication().name())
                .toList();
    }

    /** Names of all signals of a block. */
    public static List<String> signals(Block block) {
        List<String> names = new ArrayList<>(points(block));
        names.addAll(indications(block));
        return names;
    }

    /** The name of a gas in the names of points: as in {@code carbon-monoxide-rate}. */
    static String key(Gas gas) {
        return gas.words().replace(' ', '-');
    }

    static String key(Fault fault) {
        return "probability-" + fault.name().toLowerCase(Locale.ROOT);
    }

    static String key(Method method) {
        return method.words().replace(' ', '-');
    }

    private static DeviceKind kind() {
        return new DeviceKind(
                MAP,
                "computed by Oilbird",
                POINTS.stream().map(Declared::point).toList(),
                INDICATIONS.stream().map(Told::indication).toList(),
                Arrays.stream(Block.values())
                        .map(b -> new DeviceKind.Block(b.key(), Duration.ZERO, signals(b)))
                        .toList());
    }

    private static DeviceKind.Point point(String name, String label, String unit, boolean counted) {
        return new DeviceKind.Point(
                name, label, unit, "", null, Duration.ZERO, Duration.ZERO, counted ? ANALYSES : null);
    }

    private static List<Declared> points() {
        List<Declared> all = new ArrayList<>();
        gas(all, ANALYSES, "gas analyses since the start", "");
        gas(all, "gas-status", "gas status of IEEE C57.104-2019", "");
        gas(all, "gas-status-because", "what decides the gas status", "");
        gas(all, "gas-condition-2008", "gas condition of IEEE C57.104-2008", "");
        gas(all, "combustible-gas", "total dissolved combustible gas", "ppm");
        gas(all, "ratio-acetylene-ethylene", "C2H2/C2H4", "");
        gas(all, "ratio-methane-hydrogen", "CH4/H2", "");
        gas(all, "ratio-ethylene-ethane", "C2H4/C2H6", "");
        gas(all, "ratio-acetylene-hydrogen", "C2H2/H2", "");
        gas(all, "ratio-carbon-dioxide-carbon-monoxide", "CO2/CO", "");
        gas(all, "ratio-oxygen-nitrogen", "O2/N2", "");
        for (Method method : Method.values()) {
            gas(all, key(method), "fault by " + method.words(), "");
        }
        gas(all, "fault", "fault by all methods together", "");
        for (Fault fault : Fault.values()) {
            gas(all, key(fault), "probability of " + fault.words() + ", given a fault", "%");
        }
        gas(all, "fault-same-within-error", "share of the error band with the same fault", "%");
        gas(all, "share-stray-gassing", "share of the error band in stray gassing", "%");
        gas(all, "share-overheated-oil", "share of the error band in overheated oil", "%");
        gas(all, "share-paper", "share of the error band with paper involved", "%");
        for (Gas gas : GuideTables2019.GASES) {
            gas(all, key(gas) + "-rate", "rise of " + gas.words(), "ppm/d");
            gas(all, key(gas) + "-rate-low", "rise of " + gas.words() + ", lower end of 95 %", "ppm/d");
            gas(all, key(gas) + "-rate-high", "rise of " + gas.words() + ", upper end of 95 %", "ppm/d");
            gas(all, key(gas) + "-yearly-rate", "multi-point rate of " + gas.words(), "ppm/a");
        }
        gas(all, "fault-gas-rate", "rise of hydrogen and hydrocarbons together", "ppm/d");
        for (Gas gas : GuideTables2019.GASES) {
            all.add(new Declared(
                    Block.LABORATORY,
                    point("laboratory-" + key(gas), gas.words() + " in the last laboratory sample", "ppm", false)));
        }
        add(all, Block.LABORATORY, "laboratory-difference", "difference to the laboratory, in combined errors", "p.u.");
        add(all, Block.LABORATORY, "laboratory-difference-gas", "gas that differs most from the laboratory", "");
        add(all, Block.WATER, "water-content", "water in oil", "mg/kg");
        add(all, Block.WATER, "water-grade", "water in oil by IEC 60422", "");
        add(all, Block.WATER, "coldest-temperature", "coldest oil temperature known", "degC");
        add(all, Block.WATER, "coldest-saturation", "relative saturation where the oil is coldest", "%");
        add(all, Block.WATER, "free-water-margin", "coldest oil over the temperature of free water", "K");
        add(all, Block.HEAT, "load", "load, factor of rated", "p.u.");
        add(all, Block.HEAT, "modelled-top-oil", "modelled top oil temperature", "degC");
        add(all, Block.HEAT, "top-oil-residual", "measured over modelled top oil", "K");
        add(all, Block.HEAT, "top-oil-residual-median", "measured over modelled top oil, median of an hour", "K");
        add(all, Block.HEAT, "hot-spot", "hot-spot temperature", "degC");
        add(all, Block.HEAT, "hot-spot-low", "hot-spot temperature, lower bound", "degC");
        add(all, Block.HEAT, "hot-spot-high", "hot-spot temperature, upper bound", "degC");
        add(all, Block.HEAT, "ageing-rate", "relative ageing rate", "p.u.");
        add(all, Block.HEAT, "life-used", "insulation life used since the computation began", "d");
        return List.copyOf(all);
    }

    private static void gas(List<Declared> all, String name, String label, String unit) {
        all.add(new Declared(Block.GAS, point(name, label, unit, !name.equals(ANALYSES))));
    }

    private static void add(List<Declared> all, Block block, String name, String label, String unit) {
        all.add(new Declared(block, point(name, label, unit, false)));
    }

    private static List<Told> indications() {
        List<Told> all = new ArrayList<>();
        say(all, Block.GAS, "gas-status-2", "gas status 2: investigate");
        say(all, Block.GAS, "gas-status-3", "gas status 3: act");
        danger(all, DISCHARGE_SUSPECTED, "discharge in the transformer suspected");
        danger(all, "partial-discharge-suspected", "partial discharge suspected");
        say(all, Block.GAS, "overheating-suspected", "thermal fault suspected");
        say(all, Block.GAS, "paper-involved", "paper may be involved");
        say(all, Block.GAS, "stray-gassing-suspected", "stray gassing of the oil likely");
        say(all, Block.GAS, "tap-changer-gas-suspected", "gas from the tap changer suspected");
        danger(all, GAS_RISE_FAST, "gas rises fast");
        say(all, Block.GAS, "gas-rising", "gas rises more than is typical");
        say(all, Block.GAS, "gas-step", "gas level has stepped");
        say(all, Block.LABORATORY, MONITOR_DISAGREES, "gas monitor disagrees with the laboratory");
        say(all, Block.WATER, "free-water-possible", "free water possible where the oil is coldest");
        say(all, Block.HEAT, "cooling-impaired", "oil hotter than load and ambient explain");
        say(all, Block.HEAT, "oil-colder-than-modelled", "oil colder than load and ambient explain");
        return List.copyOf(all);
    }

    /** Nobody is sent near a transformer of which this holds. */
    private static void danger(List<Told> all, String name, String text) {
        all.add(new Told(
                Block.GAS, new DeviceKind.NamedIndication(name, text, List.of(), false, false, true, List.of())));
    }

    private static void say(List<Told> all, Block block, String name, String text) {
        all.add(new Told(block, new DeviceKind.NamedIndication(name, text, List.of(), false, List.of())));
    }
}
