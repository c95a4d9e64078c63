package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.OutOfService;
import oilbird.alarm.state.Refusal;
import oilbird.alarm.state.StateName;
import oilbird.alarm.station.StationEvent.Notice;
import org.junit.jupiter.api.Test;

/** Other rules while the gateway runs: alarms keep their memories. */
class RulesLoadedTest {
    private static final Actor ENGINEER = new Actor("P. Engineer", "rest");
    private static final String OIL = "t1/cooling-t1.oil";
    private static final String FAN = "t1/gas-t1.fan";

    private static StationModel model(String version, String... rules) {
        StationFacts facts = Windlow.facts();
        return new StationModel(facts, Windlow.rulesOf(facts, rules), StationModel.Settings.DEFAULT, version);
    }

    private static String oil(double limit) {
        return rule(
                "oil", "{map: tcc-4}", "{level: top-oil-temperature, unit: degC, deadband: 2, high: " + limit + "}");
    }

    private static String rule(String key, String scope, String when) {
        return key + ":\n  for: " + scope + "\n  when: " + when
                + "\n  says: x\n  class: auxiliary\n  priority: minor\n  on_samples: 1\n  off_samples: 1\n";
    }

    private static final String FAN_RULE = rule("fan", "{map: hbg-8}", "{indication: cabinet-fan-stopped}");

    private static StationStep load(Bench bench, StationModel next) {
        return bench.apply(new StationInput.RulesLoaded(next, ENGINEER, bench.now()));
    }

    @Test
    void anActiveAlarmStaysAcknowledgedAndShelvedUnderOtherRules() {
        Bench bench = new Bench(model("v1", oil(80), FAN_RULE));
        bench.set("cooling-t1", "top-oil-temperature", 90.0).run(1);
        bench.acknowledge(OIL);
        bench.act(OIL, new AlarmInput.ShelveTimed(Bench.OPERATOR, "known", Duration.ofHours(1), bench.now()));
        var before = bench.alarm(OIL).state();
        assertThat(load(bench, model("v2", oil(85), FAN_RULE)).refusal()).isNull();
        assertThat(bench.alarm(OIL).state().name()).isEqualTo(StateName.SHLVD);
        assertThat(bench.alarm(OIL).state().occurrence()).isEqualTo(before.occurrence());
        assertThat(bench.alarm(OIL).state().shelving()).isEqualTo(before.shelving());
        assertThat(bench.alarm(OIL).state().acknowledged()).isTrue();
    }

    @Test
    void theNewLimitCountsAtOnce() {
        Bench bench = new Bench(model("v1", oil(80)));
        bench.set("cooling-t1", "top-oil-temperature", 82.0).run(1);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED);
        load(bench, model("v2", oil(90)));
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED, Kind.RETURNED);
        load(bench, model("v3", oil(81)));
        bench.run(1);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED, Kind.RETURNED, Kind.RAISED);
        assertThat(bench.alarm(OIL).state().occurrence()).isEqualTo(2);
    }

    @Test
    void theRecordSaysWhoLoadedWhatWithWhichDifference() {
        Bench bench = new Bench(model("v1", oil(80), FAN_RULE));
        load(bench, model("v2", oil(85), rule("flow", "{devices: [gas-t1]}", "{indication: oil-flow-low}")));
        List<Notice> loaded = bench.notices(Notice.Kind.RULES_LOADED);
        assertThat(loaded.get(loaded.size() - 1).text())
                .isEqualTo("P. Engineer (rest): 3 alarms, v2, before v1; 1 added: t1/gas-t1.flow;"
                        + " 2 removed: t1/gas-t1.fan, t2/gas-t2.fan;"
                        + " 2 changed: t1/cooling-t1.oil, t2/cooling-t2.oil");
    }

    @Test
    void theSameRulesAgainDifferInNothingAndChangeNothing() {
        Bench bench = new Bench(model("v1", oil(80), FAN_RULE));
        bench.set("cooling-t1", "top-oil-temperature", 90.0).run(1);
        var before = bench.alarm(OIL).state();
        StationStep step = load(bench, model("v1", oil(80), FAN_RULE));
        assertThat(step.events()).hasSize(1);
        assertThat(((Notice) step.events().get(0)).text()).endsWith("; no alarm differs");
        assertThat(bench.alarm(OIL).state().lastEvent()).isEqualTo(before.lastEvent());
    }

    @Test
    void anAlarmWhoseRuleIsGoneLeavesTheListAndGoesOnWhenTheRuleComesBack() {
        Bench bench = new Bench(model("v1", oil(80), FAN_RULE));
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(1);
        load(bench, model("v2", oil(80)));
        assertThat(bench.view().alarms()).doesNotContainKey(Bench.id(FAN));
        assertThat(bench.last(FAN).event().kind()).isEqualTo(Kind.REMOVED_FROM_SERVICE);
        AlarmState stored = bench.stored().get(Bench.id(FAN));
        assertThat(stored).isNotNull();
        OutOfService out = stored.outOfService();
        assertThat(out).isNotNull();
        assertThat(out.reason()).isEqualTo(StationFold.NO_RULE);
        bench.run(60);
        load(bench, model("v1", oil(80), FAN_RULE));
        assertThat(bench.alarm(FAN).state().occurrence()).isEqualTo(1);
        assertThat(bench.alarm(FAN).state().name()).isEqualTo(StateName.UNACK);
        bench.set("gas-t1", "cabinet-fan-stopped", false).run(1);
        assertThat(bench.alarm(FAN).state().active()).isFalse();
    }

    @Test
    void aRateKeepsItsSamplesWhereOnlyOtherRulesChange() {
        String rate = rule("rate", "{map: tcc-4}", "{rate: top-oil-temperature, unit: K/h, window: 10 min, high: 30}");
        Bench bench = new Bench(model("v1", rate, oil(80)));
        bench.run(400);
        load(bench, model("v2", rate, oil(85)));
        assertThat(bench.alarm("t1/cooling-t1.rate").evidence()).startsWith("top-oil-temperature rate = 0 K/h");
    }

    @Test
    void otherDevicesAreRefusedAndTheOldRulesGoOn() {
        Bench bench = new Bench(model("v1", oil(80)));
        StationFacts here = Windlow.facts();
        StationFacts facts = new StationFacts(
                here.id(), here.name(), here.gateway(), here.assets(), here.devices().subList(1, 5));
        StationModel other =
                new StationModel(facts, Windlow.rulesOf(facts, oil(90)), StationModel.Settings.DEFAULT, "v2");
        assertThat(load(bench, other).refusal()).isEqualTo(Refusal.OTHER_DEVICES);
        bench.set("cooling-t1", "top-oil-temperature", 82.0).run(1);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED);
        assertThat(bench.notices(Notice.Kind.RULES_LOADED)).hasSize(1);
    }

    @Test
    void pointsVerifiedMeanwhilePutTheirAlarmsInService() {
        StationFacts before = Windlow.facts(List.of("cabinet-fan-stopped"));
        Bench bench = new Bench(new StationModel(
                before, Windlow.rulesOf(before, FAN_RULE), StationModel.Settings.DEFAULT, "v1"));
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        assertThat(bench.alarm(FAN).state().name()).isEqualTo(StateName.OOSRV);
        assertThat(load(bench, model("v2", FAN_RULE)).refusal()).isNull();
        assertThat(bench.alarm(FAN).state().name()).isEqualTo(StateName.UNACK);
    }

    @Test
    void chatteringIsProposedForShelvingWithItsFigures() {
        Bench bench = new Bench(model("v1", oil(80)));
        for (int i = 0; i < 6; i++) {
            bench.set("cooling-t1", "top-oil-temperature", i % 2 == 0 ? 85.0 : 70.0)
                    .run(2);
        }
        // At least 3 activations in 60 s: common practice.
        assertThat(bench.view().proposals())
                .containsExactly(
                        new StationView.Proposal(Bench.id(OIL), 3, Duration.ofSeconds(60), Duration.ofHours(12)));
        assertThat(bench.alarm(OIL).state().shelving().kind().name()).isEqualTo("NONE");
        load(bench, model("v2", oil(80), FAN_RULE));
        assertThat(bench.view().proposals()).as("counted on under other rules").hasSize(1);
        bench.run(61);
        assertThat(bench.view().proposals()).isEmpty();
    }
}
