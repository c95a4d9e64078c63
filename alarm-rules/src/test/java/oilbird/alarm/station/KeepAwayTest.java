package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import oilbird.alarm.Bench;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.WindlowCauses;
import oilbird.alarm.explain.DiagnosisExplanation;
import oilbird.alarm.explain.Explainer;
import oilbird.alarm.explain.Explanation;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.Refusal;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Keep-away: shared design, section 6. */
class KeepAwayTest {
    private static final Actor ROOM = new Actor("C. Room", "control room");

    /** The station with an indication of the gas monitors that keeps people away. */
    private static StationFacts facts() {
        StationFacts plain = WindlowCauses.facts();
        return new StationFacts(
                plain.id(),
                plain.name(),
                plain.gateway(),
                plain.assets(),
                plain.devices().stream().map(KeepAwayTest::dangerous).toList(),
                plain.shared());
    }

    private static StationFacts.Device dangerous(StationFacts.Device device) {
        DeviceKind kind = device.kind();
        DeviceKind marked = new DeviceKind(
                kind.map(),
                kind.product(),
                kind.points(),
                kind.indications().stream()
                        .map(i -> new DeviceKind.NamedIndication(
                                i.name(),
                                i.text(),
                                i.doubts(),
                                i.engineerOnly(),
                                false,
                                i.name().equals("clock-not-set"),
                                i.checks()))
                        .toList(),
                kind.blocks(),
                kind.features());
        return new StationFacts.Device(device.id(), device.name(), device.asset(), marked, device.unverified());
    }

    private static Bench healthy() {
        return new Bench(WindlowCauses.model(facts()))
                .gases("gas-t1", 20)
                .gases("gas-t2", 20)
                .run(5);
    }

    private static List<StationEvent.KeptAway> told(Bench bench) {
        return bench.events().stream()
                .filter(StationEvent.KeptAway.class::isInstance)
                .map(StationEvent.KeptAway.class::cast)
                .toList();
    }

    private static StationStep release(Bench bench, String asset) {
        return bench.apply(new StationInput.ReleaseKeepAway(asset, ROOM, "looked at by the engineer", bench.now()));
    }

    private static boolean kept(Bench bench, String asset) {
        return bench.view().standing().keptAwayFrom(asset) != null;
    }

    @Test
    void anIndicationKeepsPeopleAwayUntilTheControlRoomReleasesIt() {
        Bench bench = healthy().set("gas-t1", "clock-not-set", true).run(2);
        assertThat(kept(bench, "t1")).isTrue();
        assertThat(kept(bench, "t2")).isFalse();

        bench.set("gas-t1", "clock-not-set", false).run(60);
        assertThat(kept(bench, "t1")).as("a reason that goes releases nothing").isTrue();

        assertThat(release(bench, "t1").refusal()).isNull();
        assertThat(kept(bench, "t1")).isFalse();
        assertThat(told(bench))
                .extracting(StationEvent.KeptAway::kind)
                .containsExactly(StationEvent.KeptAway.Kind.RAISED, StationEvent.KeptAway.Kind.RELEASED);
        assertThat(told(bench).get(1).by()).isEqualTo(ROOM);
        assertThat(told(bench).get(1).text()).isEqualTo("looked at by the engineer");
        assertThat(release(bench, "t1").refusal()).isEqualTo(Refusal.NOT_KEPT_AWAY);
    }

    @Test
    void aReasonThatStillHoldsAtTheReleaseDoesNotRaiseItAgainAndANewOneDoes() {
        Bench bench = healthy().set("gas-t1", "clock-not-set", true).run(2);
        release(bench, "t1");
        bench.run(30);
        assertThat(kept(bench, "t1")).isFalse();

        bench.set("cooling-t1", "fan-vibration", true).run(5);
        assertThat(kept(bench, "t1"))
                .as("the alarm of a rule that keeps people away")
                .isTrue();
        release(bench, "t1");

        bench.set("gas-t1", "clock-not-set", false).run(2);
        bench.set("gas-t1", "clock-not-set", true).run(2);
        assertThat(kept(bench, "t1")).as("it went and came back").isTrue();
    }

    @Test
    void oneInTenIsEnoughForACauseToKeepPeopleAway() {
        Bench bench = healthy().gases("gas-t1", 150).run(5);

        Diagnosis diagnosis = bench.view().diagnoses().get(0);
        double posterior = diagnosis.causes().stream()
                .filter(c -> c.cause().equals("gas-t1.discharge"))
                .findFirst()
                .orElseThrow()
                .posterior();
        assertThat(posterior).isBetween(Diagnosis.KEEPS_AWAY, 0.6);
        assertThat(diagnosis.keepAway()).isTrue();
        assertThat(bench.view().standing().keptAway())
                .singleElement()
                .satisfies(k -> assertThat(k.reasons()).containsExactly("cause gas-t1.discharge"));
    }

    @Test
    void aRestartNeitherForgetsNorReleasesNorRaisesAnew() {
        Bench bench = healthy().set("gas-t1", "clock-not-set", true).run(2);
        bench.restart(Duration.ofMinutes(5)).run(20);
        assertThat(kept(bench, "t1")).isTrue();
        assertThat(told(bench)).hasSize(1);

        release(bench, "t1");
        bench.restart(Duration.ofMinutes(5)).run(20);
        assertThat(kept(bench, "t1"))
                .as("released with the reason still there: it stays released")
                .isFalse();
        assertThat(told(bench)).hasSize(2);
    }

    @Test
    void maintenanceDoesNotStopItSincePeopleAreNearThen() {
        Bench bench = healthy();
        bench.apply(new StationInput.BeginMaintenance(
                "t1", Bench.OPERATOR, "work", "P-7", Duration.ofHours(1), bench.now()));
        bench.set("gas-t1", "clock-not-set", true).run(2);

        assertThat(kept(bench, "t1")).isTrue();
    }

    @Test
    void shelvingAnAlarmDoesNotReleaseAnybody() {
        Bench bench = healthy().set("cooling-t1", "fan-vibration", true).run(5);
        bench.act(
                "t1/cooling-t1.vibration",
                new oilbird.alarm.state.AlarmInput.ShelveTimed(
                        Bench.OPERATOR, "known", Duration.ofMinutes(10), bench.now()));
        bench.run(5);

        assertThat(kept(bench, "t1")).isTrue();
    }

    @Test
    void checksOfAnUnrelatedMonitorFaultAreWithdrawnAndThoseAtTheScreenStay() {
        Bench bench = healthy().set("gas-t1", "cabinet-fan-stopped", true).run(5);
        Explainer explainer = new Explainer(bench.model());
        AlarmId fan = Bench.id("t1/gas-t1.fan");
        assertThat(explainer.explain(bench.view(), fan).checks())
                .extracting(c -> c.check().exposure())
                .containsExactly(0, 1);

        bench.set("gas-t1", "clock-not-set", true).run(2);

        Explanation kept = explainer.explain(bench.view(), fan);
        assertThat(kept.checks()).extracting(c -> c.check().exposure()).containsExactly(0);
        assertThat(kept.withdrawn()).isEqualTo(1);
        assertThat(kept.sentence())
                .as("at once after what happened, and short; why stands with the keep-away itself")
                .startsWith(
                        "Transformer 1: the fan has stopped. Keep away from Transformer 1 until the control room releases"
                                + " it.");
        assertThat(explainer.keepAways(bench.view()).get(0).text())
                .startsWith("Keep away from Transformer 1: gas monitor of Transformer 1: clock not set.");
        DiagnosisExplanation diagnosis =
                explainer.explain(bench.view(), bench.view().diagnoses().get(0));
        assertThat(diagnosis.checks()).extracting(c -> c.check().exposure()).containsExactly(0);
        assertThat(diagnosis.withdrawn()).isEqualTo(1);

        release(bench, "t1");
        assertThat(explainer.explain(bench.view(), fan).checks()).hasSize(2);
    }

    @ParameterizedTest
    @ValueSource(longs = {11, 12, 13, 14, 15, 16})
    void whateverHappensNobodyIsSentNearAnAssetThatPeopleAreKeptAwayFrom(long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        Bench bench = healthy();
        Explainer explainer = new Explainer(bench.model());
        List<String> bits = List.of("cabinet-fan-stopped", "oil-flow-low", "clock-not-set", "cell-cold");
        List<String> assets = new ArrayList<>();
        for (int step = 0; step < 150; step++) {
            String device = random.nextBoolean() ? "gas-t1" : "gas-t2";
            switch (random.nextInt(8)) {
                case 0, 1, 2 -> bench.set(device, bits.get(random.nextInt(bits.size())), random.nextBoolean());
                case 3 -> bench.gases(device, random.nextInt(10, 300));
                case 4 -> bench.silent(device);
                case 5 -> bench.back(device);
                case 6 -> release(bench, random.nextBoolean() ? "t1" : "t2");
                default -> bench.set("cooling-t1", "fan-vibration", random.nextBoolean());
            }
            bench.run(random.nextInt(1, 5));
            if (random.nextInt(30) == 0) {
                bench.restart(Duration.ofSeconds(20)).run(3);
            }
            StationView view = bench.view();
            view.standing().keptAway().forEach(k -> assets.add(k.asset()));
            for (StationView.AlarmView alarm : view.alarms().values()) {
                checkThatNobodyIsSent(
                        seed,
                        view,
                        alarm.rule().asset().id(),
                        explainer.explain(view, alarm.rule().id()).checks());
            }
            for (Diagnosis diagnosis : view.diagnoses()) {
                List<Explanation.ExplainedCheck> checks =
                        explainer.explain(view, diagnosis).checks();
                diagnosis.assets().forEach(asset -> checkThatNobodyIsSent(seed, view, asset, checks));
            }
            assertThat(kept(bench, "t1")).as("seed %s: as the events say", seed).isEqualTo(toldLast(bench, "t1"));
        }
        assertThat(assets).as("seed %s: it happened at all", seed).contains("t1", "t2");
    }

    private static void checkThatNobodyIsSent(
            long seed, StationView view, String asset, List<Explanation.ExplainedCheck> checks) {
        if (view.standing().keptAwayFrom(asset) != null) {
            assertThat(checks)
                    .as("seed %s: checks near %s", seed, asset)
                    .allSatisfy(c -> assertThat(c.check().exposure()).isZero());
        }
    }

    private static boolean toldLast(Bench bench, String asset) {
        boolean kept = false;
        for (StationEvent.KeptAway event : told(bench)) {
            if (event.asset().equals(asset)) {
                kept = event.kind() != StationEvent.KeptAway.Kind.RELEASED;
            }
        }
        return kept;
    }
}
