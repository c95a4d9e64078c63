package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import java.util.Objects;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.station.StationEvent.Notice;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;

/** What the fold knows besides the states of alarms outlives the process. */
class RestartMemoriesTest {
    private static final String WARMING = "t1/gas-t1.warming";
    private static final String FAN = "t1/gas-t1.fan";

    private static Bench bench() {
        StationFacts facts = Windlow.facts();
        return Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        rule("fan", "{indication: cabinet-fan-stopped}", "on_delay: 0 s"),
                        rule("voted", "{indication: cabinet-fan-stopped}", "agree: 2 of 2"),
                        rule("overdue", "{overdue: hydrogen}", ""),
                        rule("warming", "{rate: heat-sink-temperature, unit: K/h, window: 10 min, high: 30}", "")));
    }

    private static String rule(String key, String when, String more) {
        return key + ":\n  for: {map: hbg-8}\n  when: " + when + "\n  says: x\n  class: auxiliary\n  priority: minor\n"
                + (more.isEmpty() ? "" : "  " + more + "\n");
    }

    private static void warm(Bench bench, Duration time, double kelvinPerHour) {
        for (int i = 0; i < time.toSeconds(); i++) {
            double now = bench.now().wallMillis() / 3_600_000.0 % 1_000;
            bench.set("gas-t1", "heat-sink-temperature", 40 + kelvinPerHour * (now - Math.floor(now)))
                    .run(Duration.ofSeconds(1));
        }
    }

    // ---- rates

    @Test
    void aRateSeesOnAfterARestartInsteadOfWaitingForHalfAWindow() {
        Bench bench = bench();
        warm(bench, Duration.ofMinutes(9), 20);
        assertThat(bench.alarm(WARMING).value()).isCloseTo(20, org.assertj.core.data.Offset.offset(0.5));
        bench.restart(Duration.ofSeconds(30));
        warm(bench, Duration.ofSeconds(20), 20);
        assertThat(bench.alarm(WARMING).value())
                .as("20 s after the restart, window 10 min")
                .isCloseTo(20, org.assertj.core.data.Offset.offset(0.5));
    }

    @Test
    void ofTheWindowAMinuteAtMostIsLostWithThePower() {
        Bench bench = bench();
        warm(bench, Duration.ofMinutes(9), 20);
        long newest = Objects.requireNonNull(bench.remembered().get("rate " + WARMING)).instants().stream()
                .max(Long::compare)
                .orElseThrow();
        assertThat(bench.now().monotonicNanos() - newest)
                .isLessThanOrEqualTo(Duration.ofSeconds(66).toNanos());
    }

    @Test
    void samplesOlderThanTheWindowAreNotTakenOver() {
        Bench bench = bench();
        warm(bench, Duration.ofMinutes(9), 20);
        bench.restart(Duration.ofHours(2));
        warm(bench, Duration.ofSeconds(20), 20);
        assertThat(bench.alarm(WARMING).value()).isNull();
        assertThat(bench.alarm(WARMING).evidence()).contains("too few samples");
    }

    @Test
    void whereTheClockDoesNotTellTheTimeAwayARateBeginsAnew() {
        Bench bench = bench();
        warm(bench, Duration.ofMinutes(9), 20);
        bench.clockNotTrusted().restart(Duration.ofSeconds(30));
        warm(bench, Duration.ofSeconds(20), 20);
        assertThat(bench.alarm(WARMING).value()).isNull();
    }

    // ---- ages

    @Test
    void anAnalysisIsAsOldAsItIsHoweverOftenItIsReadAndAlsoAfterARestart() {
        Bench bench = bench().gases("gas-t1", 40).run(2);
        Moment analysed = bench.reading("gas-t1", "hydrogen").reading().at();
        bench.run(8);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().at()).isEqualTo(analysed);
        assertThat(bench.reading("gas-t1", "analysis-counter").reading().at().monotonicNanos())
                .as("the counter itself was read just now")
                .isGreaterThan(analysed.monotonicNanos());
        bench.restart(Duration.ofSeconds(5)).run(2);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().at().wallMillis())
                .isEqualTo(analysed.wallMillis());
        bench.gases("gas-t1", 40).run(1);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().at().wallMillis())
                .as("the same value of a new analysis")
                .isGreaterThan(analysed.wallMillis());
    }

    // ---- doubts

    @Test
    void aDoubtThatOutlastsItsIndicationOutlastsARestartToo() {
        Bench bench = bench().run(1);
        bench.set("gas-t1", "cell-cold", true)
                .run(1)
                .set("gas-t1", "cell-cold", false)
                .run(1);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.DOUBTFUL);
        bench.restart(Duration.ZERO).run(2);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason())
                .as("three update periods of a second are not over")
                .isEqualTo(QualityReason.DOUBTFUL);
        assertThat(bench.reading("gas-t1", "oil-flow").because()).containsExactly(new SignalId("gas-t1", "cell-cold"));
        bench.run(Duration.ofSeconds(4));
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.NONE);
    }

    @Test
    void aDoubtByAnalysesWaitsForANewOneAndNotForTheFirstReadingAfterTheRestart() {
        Bench bench = bench().gases("gas-t1", 40).run(2);
        bench.set("gas-t1", "oil-flow-low", true)
                .run(2)
                .set("gas-t1", "oil-flow-low", false)
                .run(2);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().quality()).isEqualTo(Quality.UNCERTAIN);
        bench.restart(Duration.ofSeconds(2)).run(4);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().quality())
                .as("the analysis is the one from before")
                .isEqualTo(Quality.UNCERTAIN);
        bench.gases("gas-t1", 41).run(2);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().quality()).isEqualTo(Quality.GOOD);
    }

    @Test
    void aDoubtWhoseIndicationCannotBeToldAfterTheRestartStays() {
        Bench bench = bench().run(1).set("gas-t1", "cell-cold", true).run(1);
        bench.set("gas-t1", "cell-cold", QualityReason.DECLARED_INVALID)
                .restart(Duration.ofHours(5))
                .run(10);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.DOUBTFUL);
        bench.set("gas-t1", "cell-cold", false).run(20);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.NONE);
        assertThat(bench.remembered()).doesNotContainKey("doubts gas-t1");
    }

    // ---- age of analyses

    @Test
    void aRestartMakesAnAnalysisNoYounger() {
        Bench bench = bench().gases("gas-t1", 40).run(1).run(Duration.ofSeconds(20));
        bench.restart(Duration.ofSeconds(5)).run(Duration.ofSeconds(7));
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason())
                .as("the counter has not moved for more than 30 s")
                .isEqualTo(QualityReason.STALE);
        assertThat(bench.alarm("t1/gas-t1.overdue").state().active()).isTrue();
    }

    @Test
    void anAnalysisThatCameWhileTheGatewayWasAwayIsNewAndRaisesNoOverdue() {
        Bench bench = bench().gases("gas-t1", 40).run(1).run(Duration.ofSeconds(20));
        bench.restart(Duration.ofHours(3)).gases("gas-t1", 42).run(Duration.ofSeconds(20));
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.NONE);
        assertThat(bench.kinds("t1/gas-t1.overdue")).doesNotContain(Kind.RAISED);
    }

    // ---- counts and notices

    @Test
    void chatteringAndFloodsGoOnBeingCounted() {
        Bench bench = bench();
        for (int i = 0; i < 2; i++) {
            bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
            bench.set("gas-t1", "cabinet-fan-stopped", false).run(2);
        }
        int before = bench.view().flood().inTenMinutes();
        assertThat(before).isPositive();
        bench.restart(Duration.ofSeconds(3));
        assertThat(bench.view().flood().inTenMinutes()).isEqualTo(before);
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        assertThat(bench.alarm(FAN).chattering())
                .as("the third time in a minute")
                .isTrue();
        bench.set("gas-t1", "cabinet-fan-stopped", false)
                .restart(Duration.ofSeconds(2))
                .restart(Duration.ofSeconds(2));
        assertThat(bench.alarm(FAN).chattering()).as("over two restarts").isTrue();
        bench.restart(Duration.ofMinutes(11));
        assertThat(bench.view().flood().inTenMinutes()).isZero();
        assertThat(bench.alarm(FAN).chattering()).isFalse();
    }

    @Test
    void anUndocumentedBitIsToldOnceHoweverOftenTheGatewayStarts() {
        Bench bench = bench().undocumented("gas-t1", 0b100).run(2);
        bench.restart(Duration.ofMinutes(5)).run(2).restart(Duration.ofDays(50)).run(2);
        assertThat(bench.notices(Notice.Kind.UNDOCUMENTED_BIT)).hasSize(1);
        bench.undocumented("gas-t1", 0b110).run(2);
        assertThat(bench.notices(Notice.Kind.UNDOCUMENTED_BIT)).hasSize(2);
    }

    @Test
    void piecesOfWhatIsGoneAreForgotten() {
        Bench bench = bench();
        warm(bench, Duration.ofMinutes(2), 20);
        assertThat(bench.remembered()).containsKey("rate " + WARMING);
        StationFacts facts = Windlow.facts();
        bench.restart(
                new StationModel(
                        facts,
                        Windlow.rulesOf(facts, rule("fan", "{indication: cabinet-fan-stopped}", "")),
                        StationModel.Settings.DEFAULT,
                        "other"),
                Duration.ofSeconds(1));
        assertThat(bench.remembered()).doesNotContainKey("rate " + WARMING);
    }

    // ---- the same answer twice

    @Test
    void anAnswerDeliveredTwiceWithTheSameTimeIsOneSample() {
        Bench bench = bench().run(2);
        Moment at = bench.now().plusNanos(1_000_000);
        StationInput.Observed stopped = new StationInput.Observed(new Decoded(
                "gas-t1",
                "status",
                List.of(),
                List.of(Indication.of(new SignalId("gas-t1", "cabinet-fan-stopped"), true, at)),
                List.of(),
                at));
        bench.apply(stopped);
        bench.apply(stopped);
        assertThat(bench.kinds("t1/gas-t1.voted")).as("one of two samples").isEmpty();
        Moment later = at.plusNanos(1_000_000);
        bench.apply(new StationInput.Observed(new Decoded(
                "gas-t1",
                "status",
                List.of(),
                List.of(Indication.of(new SignalId("gas-t1", "cabinet-fan-stopped"), true, later)),
                List.of(),
                later)));
        assertThat(bench.kinds("t1/gas-t1.voted")).containsExactly(Kind.RAISED);
    }
}
