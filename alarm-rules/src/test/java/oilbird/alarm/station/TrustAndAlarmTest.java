package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.StateName;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;

/** Whole scenes through fold and alarm machine, with the rules of the example file. */
class TrustAndAlarmTest {
    private static final String HYDROGEN = "t1/gas-t1.hydrogen-high";
    private static final String OVERDUE = "t1/gas-t1.analysis-overdue";
    private static final String FAN = "t1/gas-t1.cabinet-fan-stopped";
    private static final String NO_ANSWER = "t1/gas-t1.no-answer";

    private static Bench bench() {
        StationFacts facts = Windlow.facts();
        return Bench.of(facts, Windlow.rules(facts, "windlow-gas-monitor.yaml"));
    }

    @Test
    void hydrogenThatFallsToZeroWhileOilFlowIsLostDoesNotClearTheHydrogenAlarm() {
        Bench bench = bench();
        bench.gases("gas-t1", 180).run(1);
        assertThat(bench.alarm(HYDROGEN).state().name()).isEqualTo(StateName.UNACK);

        bench.set("gas-t1", "oil-flow-low", true).run(1);
        bench.gases("gas-t1", 0)
                .run(1)
                .gases("gas-t1", 0)
                .run(1)
                .gases("gas-t1", 0)
                .run(1);

        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.DOUBTFUL);
        assertThat(bench.alarm(HYDROGEN).state().active()).isTrue();
        assertThat(bench.kinds(HYDROGEN)).containsExactly(Kind.RAISED, Kind.QUALITY_CHANGED);
        assertThat(bench.last(HYDROGEN).doubted())
                .contains(new StationEvent.Doubt(
                        new SignalId("gas-t1", "hydrogen"), new SignalId("gas-t1", "oil-flow-low"), false));
    }

    @Test
    void hydrogenThatFallsAfterOilFlowIsBackAndAnalysesAreGoodAgainClearsTheAlarm() {
        Bench bench = bench();
        bench.gases("gas-t1", 180).run(1);
        bench.set("gas-t1", "oil-flow-low", true).run(1);
        bench.gases("gas-t1", 0).run(1);
        bench.set("gas-t1", "oil-flow-low", false).run(1);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason())
                .as("one analysis after the flow is back the doubt still lasts")
                .isEqualTo(QualityReason.DOUBTFUL);

        bench.gases("gas-t1", 20).run(1);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().quality()).isEqualTo(Quality.GOOD);
        assertThat(bench.alarm(HYDROGEN).state().active())
                .as("two analyses are asked for before it returns")
                .isTrue();
        bench.gases("gas-t1", 20).run(1);
        assertThat(bench.alarm(HYDROGEN).state().name()).isEqualTo(StateName.RTNUN);
    }

    @Test
    void doubtfulHydrogenStillRaisesAnAlarm() {
        Bench bench = bench();
        bench.set("gas-t1", "oil-flow-low", true).run(1);
        bench.gases("gas-t1", 300).run(1);
        assertThat(bench.alarm(HYDROGEN).state().name()).isEqualTo(StateName.UNACK);
        assertThat(bench.last(HYDROGEN).event().quality()).isEqualTo(Quality.UNCERTAIN);
        assertThat(bench.last(HYDROGEN).event().text()).isEqualTo("hydrogen = 300 ppm (limit 150 ppm), doubtful");
    }

    @Test
    void worthlessHydrogenNeitherRaisesNorClears() {
        Bench bench = bench();
        bench.set("gas-t1", "detector-fault", true).run(1);
        bench.gases("gas-t1", 900).run(2);
        assertThat(bench.kinds(HYDROGEN)).isEmpty();
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.WORTHLESS);
    }

    @Test
    void aStuckAnalysisCounterMakesGasesStaleAlthoughPollsSucceed() {
        Bench bench = bench();
        bench.gases("gas-t1", 30).run(29.5);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().quality()).isEqualTo(Quality.GOOD);
        assertThat(bench.kinds(OVERDUE)).isEmpty();

        bench.run(2);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.STALE);
        assertThat(bench.reading("gas-t1", "heat-sink-temperature").reading().quality())
                .as("readings without a counter are as fresh as their poll")
                .isEqualTo(Quality.GOOD);
        assertThat(bench.kinds(OVERDUE)).containsExactly(Kind.RAISED);

        bench.gases("gas-t1", 31).run(1);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().quality()).isEqualTo(Quality.GOOD);
        assertThat(bench.kinds(OVERDUE)).containsExactly(Kind.RAISED, Kind.RETURNED);
    }

    @Test
    void aLostDeviceHoldsItsAlarmsAndMakesOneCommunicationAlarm() {
        Bench bench = bench();
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        assertThat(bench.alarm(FAN).state().name()).isEqualTo(StateName.UNACK);

        bench.silent("gas-t1").run(20);
        assertThat(bench.alarm(FAN).state().active()).isTrue();
        assertThat(bench.kinds(FAN)).containsExactly(Kind.RAISED, Kind.QUALITY_CHANGED);
        assertThat(bench.indication("gas-t1", "cabinet-fan-stopped").state()).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        assertThat(bench.reading("gas-t1", "heat-sink-temperature").reading().reason())
                .isEqualTo(QualityReason.UNREACHABLE);
        assertThat(bench.alarmEvents(
                        e -> e.kind() == Kind.RAISED && e.alarm().rule().startsWith("gas-t1.")))
                .extracting(e -> e.alarm().rule())
                .containsExactly("gas-t1.cabinet-fan-stopped", "gas-t1.no-answer");
        assertThat(bench.notices(StationEvent.Notice.Kind.DEVICE_LOST)).hasSize(1);

        bench.back("gas-t1").set("gas-t1", "cabinet-fan-stopped", false).run(20);
        assertThat(bench.kinds(FAN))
                .containsExactly(Kind.RAISED, Kind.QUALITY_CHANGED, Kind.QUALITY_CHANGED, Kind.RETURNED);
        assertThat(bench.kinds(NO_ANSWER)).containsExactly(Kind.RAISED, Kind.RETURNED);
        assertThat(bench.notices(StationEvent.Notice.Kind.DEVICE_BACK)).hasSize(1);
    }

    @Test
    void anIndicationThatCannotBeToldMakesTheReadingsItDoubtsNoBetter() {
        Bench bench = bench();
        bench.gases("gas-t1", 30).set("gas-t1", "oil-flow-low", true).run(1);
        bench.set("gas-t1", "oil-flow-low", QualityReason.DECLARED_INVALID).run(1);
        bench.gases("gas-t1", 30).run(1).gases("gas-t1", 30).run(1);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.DOUBTFUL);

        bench.set("gas-t1", "oil-flow-low", false).run(1).gases("gas-t1", 30).run(1);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().quality()).isEqualTo(Quality.GOOD);
    }

    @Test
    void anIndicationThatNeverHeldAndCannotBeToldMakesNothingDoubtful() {
        Bench bench = bench();
        bench.gases("gas-t1", 30)
                .set("gas-t1", "oil-flow-low", QualityReason.DECLARED_INVALID)
                .run(1);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().quality()).isEqualTo(Quality.GOOD);
    }

    @Test
    void doubtOutlastsItsIndicationByPollPeriodsWhereThePointHasNoCounter() {
        Bench bench = bench();
        bench.set("gas-t1", "cell-cold", true).run(1);
        assertThat(bench.reading("gas-t1", "oil-flow").because()).containsExactly(new SignalId("gas-t1", "cell-cold"));
        bench.set("gas-t1", "cell-cold", false).run(3);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.DOUBTFUL);
        bench.run(1);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().quality()).isEqualTo(Quality.GOOD);
        assertThat(bench.reading("gas-t1", "oil-flow").because()).isEqualTo(List.of());
    }
}
