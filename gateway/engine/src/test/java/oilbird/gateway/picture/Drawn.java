package oilbird.gateway.picture;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.state.Actor;
import oilbird.alarm.transformer.Equipment;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Fluid;
import oilbird.alarm.transformer.SensorKind;
import oilbird.alarm.transformer.TapChanger;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.derived.Input;
import oilbird.alarm.transformer.derived.Kept;
import oilbird.alarm.transformer.derived.LaboratorySample;
import oilbird.alarm.transformer.derived.Quantity;
import oilbird.alarm.transformer.derived.TransformerComputation;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.alarm.transformer.derived.TransformerSetup;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.GasReading;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.SampleSource;
import oilbird.alarm.transformer.heat.Ageing;
import oilbird.alarm.transformer.heat.CoolingMode;
import oilbird.alarm.transformer.heat.ResidualBand;
import oilbird.alarm.transformer.heat.ThermalModel;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;

/** An invented transformer with forty days of gas and three days of heat behind it. */
final class Drawn {
    private static final Instant START = Instant.parse("2026-09-01T00:00:00Z");
    private static final List<Quantity> GASES = List.of(
            Quantity.HYDROGEN,
            Quantity.METHANE,
            Quantity.ETHANE,
            Quantity.ETHYLENE,
            Quantity.ACETYLENE,
            Quantity.CARBON_MONOXIDE,
            Quantity.CARBON_DIOXIDE);

    private Drawn() {}

    static TransformerSetup setup(Fluid fluid) {
        Map<Quantity, TransformerSetup.Feed> feeds = new EnumMap<>(Quantity.class);
        GASES.forEach(g -> feeds.put(g, new TransformerSetup.Feed(new SignalId("gas-t1", g.key()), 1)));
        feeds.put(Quantity.TOP_OIL, new TransformerSetup.Feed(new SignalId("cooling-t1", "top-oil"), 1));
        Finding<ThermalModel> model = ThermalModel.of(CoolingMode.ONAF.constants(), 42, 22, 6);
        return new TransformerSetup(
                "t1",
                "computed-t1",
                new TransformerFacts(
                        fluid,
                        Equipment.POWER_TRANSFORMER,
                        TapChanger.SEPARATE,
                        Instant.parse("2008-05-20T00:00:00Z"),
                        List.of()),
                "gas-t1",
                SensorKind.SEPARATE_GASES,
                Choices.STANDING,
                TransformerSetup.Trending.USUAL,
                feeds,
                new TransformerSetup.Heat(
                        ((Finding.Told<ThermalModel>) model).value(),
                        true,
                        Ageing.UPGRADED,
                        null,
                        ResidualBand.WITHOUT_HISTORY),
                null);
    }

    /** Nothing has happened yet. */
    static TransformerPicture empty() {
        return new TransformerComputation(setup(Fluid.MINERAL_OIL), Kept.nothing("t1")).picture();
    }

    /** One sample with every gas below its typical value. */
    static TransformerPicture healthy() {
        TransformerComputation computation = new TransformerComputation(setup(Fluid.MINERAL_OIL), Kept.nothing("t1"));
        double[] ppm = {14, 9, 7, 11, 0, 190, 1900};
        Map<Quantity, Input> inputs = new EnumMap<>(Quantity.class);
        for (int g = 0; g < ppm.length; g++) {
            inputs.put(GASES.get(g), new Input(ppm[g], QualityReason.NONE));
        }
        computation.assess(inputs, moment(START), true);
        return computation.picture();
    }

    /** Gas that grows from a healthy level to a discharge, a laboratory sample, and a fan group that stops on the last day. */
    static TransformerPicture worsening() {
        TransformerComputation computation = new TransformerComputation(setup(Fluid.MINERAL_OIL), Kept.nothing("t1"));
        for (int i = 0; i <= 160; i++) {
            Instant at = START.plus(Duration.ofHours(6L * i));
            double fault = Math.max(0, i - 100) / 60.0;
            double ripple = 1 + 0.03 * Math.sin(i);
            double[] ppm = {
                14 * ripple + 300 * fault,
                9 * ripple + 70 * fault,
                7 * ripple + 12 * fault,
                11 * ripple + 160 * fault,
                fault == 0 ? 0 : 330 * fault,
                190 * ripple,
                1900 * ripple
            };
            Map<Quantity, Input> inputs = new EnumMap<>(Quantity.class);
            for (int g = 0; g < ppm.length; g++) {
                inputs.put(GASES.get(g), new Input(ppm[g], QualityReason.NONE));
            }
            computation.assess(inputs, moment(at), true);
        }
        computation.enter(new LaboratorySample(
                laboratory(START.plus(Duration.ofDays(30)), 110, 30, 9, 55, 95),
                new Actor("L. Chemist (invented)", "page"),
                0,
                "report 17"));
        Instant heat = START.plus(Duration.ofDays(37));
        for (int minute = 0; minute <= 3 * 1440; minute += 5) {
            Instant at = heat.plus(Duration.ofMinutes(minute));
            double day = minute / 1440.0;
            double ambient = 15 + 7 * Math.sin(2 * Math.PI * (day - 0.4));
            double load = 0.7 + 0.25 * Math.sin(2 * Math.PI * (day - 0.3));
            double oil = ambient + 26 + 9 * Math.sin(2 * Math.PI * (day - 0.4)) + (day > 2.3 ? 14 * (day - 2.3) : 0);
            Map<Quantity, Input> inputs = new EnumMap<>(Quantity.class);
            inputs.put(Quantity.AMBIENT, new Input(ambient, QualityReason.NONE));
            inputs.put(Quantity.LOAD_FACTOR, new Input(load, QualityReason.NONE));
            inputs.put(Quantity.TOP_OIL, new Input(oil, QualityReason.NONE));
            computation.heat(inputs, at, true, moment(at), moment(at));
        }
        return computation.picture();
    }

    private static Moment moment(Instant at) {
        return new Moment(Duration.between(START, at).toNanos(), at.toEpochMilli(), true);
    }

    private static GasSample laboratory(Instant at, double... ppm) {
        List<GasReading> readings = new ArrayList<>();
        for (int i = 0; i < ppm.length; i++) {
            var gas = GASES.get(i).gas();
            if (gas != null) {
                readings.add(GasReading.ppm(gas, ppm[i]));
            }
        }
        Finding<GasSample> sample = GasSample.of(
                at,
                new SampleSource(
                        "Marsh laboratory (invented)", SampleSource.Origin.LABORATORY, SensorKind.SEPARATE_GASES),
                readings);
        return ((Finding.Told<GasSample>) sample).value();
    }
}
