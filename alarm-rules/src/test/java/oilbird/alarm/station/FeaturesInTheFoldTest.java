package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.DeviceKind.NamedIndication;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.Feature.Source;
import oilbird.mapping.signal.Feature.Told;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.QualityReason;
import org.junit.jupiter.api.Test;

/** Features between what was received and trust: what they make is an indication like any other. */
class FeaturesInTheFoldTest {
    private static final Source FLOW = new Source("", "oil-flow");
    private static final Source HYDROGEN = new Source("", "hydrogen");

    private static Feature feature(String name, Feature.Shape shape, Source... despite) {
        return new Feature(name, shape, List.of(), Duration.ZERO, List.of(despite));
    }

    private static final Feature FROZEN =
            feature("flow-frozen", new Feature.Plateau(FLOW, 0.005, Duration.ofSeconds(20), null, 0));
    private static final Feature FALL = feature(
            "hydrogen-falls",
            new Feature.Step(HYDROGEN, 5, Feature.Direction.DOWN, Duration.ofSeconds(60), Duration.ofSeconds(300)),
            new Source("", "oil-flow-low"));
    private static final Feature BOTH = feature(
            "fall-with-lost-flow",
            new Feature.Coincidence(
                    List.of(
                            new Told(new Source("", "hydrogen-falls"), true),
                            new Told(new Source("", "oil-flow-low"), true)),
                    null,
                    null));

    private static NamedIndication named(String name, DeviceKind.Doubting... doubts) {
        return new NamedIndication(name, name, List.of(doubts), false, List.of());
    }

    private static StationFacts facts(List<NamedIndication> indications, List<Feature> features) {
        StationFacts plain = Windlow.facts();
        List<StationFacts.Device> devices = plain.devices().stream()
                .map(d -> d.id().equals("gas-t1")
                        ? new StationFacts.Device(
                                d.id(), d.name(), d.asset(), d.kind().with(indications, features), List.of())
                        : d)
                .toList();
        return new StationFacts(plain.id(), plain.name(), plain.gateway(), plain.assets(), devices, List.of());
    }

    private static Bench bench(List<NamedIndication> indications, List<Feature> features) {
        StationFacts facts = facts(indications, features);
        return Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        "watched:\n  for: {devices: [gas-t1]}\n  when: {indication: "
                                + indications.get(indications.size() - 1).name()
                                + "}\n  says: watched\n  class: auxiliary\n  priority: minor\n"));
    }

    private static Bench frozen() {
        return bench(List.of(named("flow-frozen", new DeviceKind.Doubting("oil-flow", false, 0))), List.of(FROZEN));
    }

    private static Bench flowing(Bench bench, int seconds) {
        for (int i = 0; i < seconds; i++) {
            bench.set("gas-t1", "oil-flow", 0.8 + 0.02 * (i % 3)).run(1);
        }
        return bench;
    }

    private static IndicationState state(Bench bench, String name) {
        return bench.indication("gas-t1", name).state();
    }

    @Test
    void aFeatureRaisesAndEndsAnOrdinaryAlarm() {
        Bench bench = flowing(frozen(), 30);
        assertThat(state(bench, "flow-frozen")).isEqualTo(IndicationState.DOES_NOT_HOLD);
        bench.run(30);
        assertThat(state(bench, "flow-frozen")).isEqualTo(IndicationState.HOLDS);
        flowing(bench, 5);
        assertThat(bench.kinds("t1/gas-t1.watched")).containsExactly(Kind.RAISED, Kind.RETURNED);
    }

    @Test
    void aFeatureMayMakeItsOwnReadingDoubtfulWithoutACircle() {
        Bench bench = flowing(frozen(), 30).run(30);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.DOUBTFUL);
        bench.run(60);
        assertThat(state(bench, "flow-frozen")).as("it looks before trust").isEqualTo(IndicationState.HOLDS);
        flowing(bench, 3);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.NONE);
    }

    @Test
    void aSilentDeviceCannotBeToldAndItsAlarmHolds() {
        Bench bench = flowing(frozen(), 30).run(30).silent("gas-t1").run(10);
        assertThat(state(bench, "flow-frozen")).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        assertThat(bench.indication("gas-t1", "flow-frozen").reason()).isEqualTo(QualityReason.UNREACHABLE);
        assertThat(bench.alarm("t1/gas-t1.watched").state().active()).isTrue();
    }

    @Test
    void anIndicationOfABitThatMakesTheReadingDoubtfulStopsTheFeatureUnlessItIsAboutThat() {
        Bench stopped = bench(
                List.of(named("frozen-hydrogen")),
                List.of(feature("frozen-hydrogen", new Feature.Plateau(HYDROGEN, 0, Duration.ofSeconds(60), null, 0))));
        for (int i = 0; i < 8; i++) {
            stopped.gases("gas-t1", 30).run(15);
        }
        assertThat(state(stopped, "frozen-hydrogen")).isEqualTo(IndicationState.HOLDS);
        stopped.set("gas-t1", "oil-flow-low", true).run(1);
        assertThat(state(stopped, "frozen-hydrogen")).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        assertThat(stopped.indication("gas-t1", "frozen-hydrogen").reason()).isEqualTo(QualityReason.DOUBTFUL);
    }

    @Test
    void aFallThatCoincidesWithLostFlowIsSeenThroughTheDoubtThatLostFlowMakes() {
        Bench bench = bench(
                List.of(named("hydrogen-falls"), named("fall-with-lost-flow")),
                // The other way round in the map: the order of looking is the fold's affair.
                List.of(BOTH, FALL));
        for (int i = 0; i < 10; i++) {
            bench.gases("gas-t1", 30).run(15);
        }
        assertThat(state(bench, "fall-with-lost-flow")).isEqualTo(IndicationState.DOES_NOT_HOLD);
        bench.set("gas-t1", "oil-flow-low", true);
        for (int i = 0; i < 5; i++) {
            bench.gases("gas-t1", 18).run(15);
        }
        assertThat(state(bench, "hydrogen-falls")).isEqualTo(IndicationState.HOLDS);
        assertThat(state(bench, "fall-with-lost-flow")).isEqualTo(IndicationState.HOLDS);
        assertThat(bench.kinds("t1/gas-t1.watched")).containsExactly(Kind.RAISED);
        bench.set("gas-t1", "oil-flow-low", false).run(1);
        assertThat(state(bench, "fall-with-lost-flow")).isEqualTo(IndicationState.DOES_NOT_HOLD);
    }

    @Test
    void aRememberedStepEndsInItsTimeWithoutAnotherReading() {
        Bench bench = bench(List.of(named("hydrogen-falls")), List.of(FALL));
        for (int i = 0; i < 10; i++) {
            bench.gases("gas-t1", 30).run(15);
        }
        for (int i = 0; i < 4; i++) {
            bench.gases("gas-t1", 18).run(15);
        }
        assertThat(state(bench, "hydrogen-falls")).isEqualTo(IndicationState.HOLDS);
        bench.silent("gas-t1").run(400);
        assertThat(state(bench, "hydrogen-falls")).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        assertThat(bench.kinds("t1/gas-t1.watched")).contains(Kind.RAISED);
    }

    @Test
    void inMaintenanceNothingIsToldAndNothingLearnt() {
        Bench bench = flowing(frozen(), 30);
        bench.apply(new StationInput.BeginMaintenance(
                "gas-t1", Bench.OPERATOR, "pump replaced", "P-7", Duration.ofHours(1), bench.now()));
        bench.run(60);
        assertThat(state(bench, "flow-frozen")).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        assertThat(bench.indication("gas-t1", "flow-frozen").reason()).isEqualTo(QualityReason.IN_MAINTENANCE);
        bench.apply(new StationInput.EndMaintenance("gas-t1", Bench.OPERATOR, "", bench.now()));
        bench.run(5);
        assertThat(state(bench, "flow-frozen")).as("the window begins anew").isEqualTo(IndicationState.CANNOT_BE_TOLD);
    }

    @Test
    void aUsualLevelIsKnownAgainAfterARestart() {
        Feature low = feature(
                "flow-below-usual",
                new Feature.Ratio(FLOW, 0.7, null, Duration.ofSeconds(10), Duration.ofSeconds(100), ""));
        Bench bench = flowing(bench(List.of(named("flow-below-usual")), List.of(low)), 130);
        assertThat(state(bench, "flow-below-usual")).isEqualTo(IndicationState.DOES_NOT_HOLD);
        bench.restart(Duration.ofHours(3));
        assertThat(state(bench, "flow-below-usual")).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        bench.set("gas-t1", "oil-flow", 0.4).run(15);
        assertThat(state(bench, "flow-below-usual")).isEqualTo(IndicationState.HOLDS);
        assertThat(bench.kinds("t1/gas-t1.watched")).containsExactly(Kind.RAISED);
    }

    @Test
    void aFeatureOnTwoDevicesIsAnIndicationOfOneOfThem() {
        Feature parted = feature(
                "temperatures-part",
                new Feature.Divergence(
                        new Source("", "heat-sink-temperature"),
                        new Source("cooling-t1", "top-oil-temperature"),
                        0,
                        10,
                        Feature.Direction.EITHER,
                        Duration.ofSeconds(10)));
        Bench bench =
                bench(List.of(named("temperatures-part")), List.of(parted)).run(15);
        assertThat(state(bench, "temperatures-part")).isEqualTo(IndicationState.DOES_NOT_HOLD);
        bench.set("cooling-t1", "top-oil-temperature", 40.0).run(15);
        assertThat(state(bench, "temperatures-part")).isEqualTo(IndicationState.HOLDS);
        bench.silent("cooling-t1").run(5);
        assertThat(state(bench, "temperatures-part")).isEqualTo(IndicationState.CANNOT_BE_TOLD);
    }

    @Test
    void featuresThatLookAtEachOtherAreRefused() {
        Feature first = feature(
                "first",
                new Feature.Coincidence(
                        List.of(
                                new Told(new Source("", "second"), true),
                                new Told(new Source("", "oil-flow-low"), true)),
                        null,
                        null));
        Feature second = feature(
                "second",
                new Feature.Coincidence(
                        List.of(
                                new Told(new Source("", "first"), true),
                                new Told(new Source("", "oil-flow-low"), true)),
                        null,
                        null));
        StationFacts facts = facts(List.of(named("first"), named("second")), List.of(first, second));
        assertThatThrownBy(() -> Bench.of(facts, List.of()))
                .isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("in a circle");
    }
}
