package oilbird.alarm.check;

import static oilbird.alarm.check.Doubles.at;
import static oilbird.alarm.check.Doubles.check;
import static oilbird.alarm.check.Doubles.id;
import static oilbird.alarm.check.Doubles.look;
import static oilbird.alarm.check.Doubles.outcome;
import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.diagnosis.Proving;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.alarm.state.Actor;
import oilbird.mapping.signal.Circuit;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.Measurement;
import oilbird.mapping.signal.Verdict;
import oilbird.mapping.signal.Work;
import org.junit.jupiter.api.Test;

class GuidedFaultFindingTest {
    private static final List<String> CAUSES = List.of("fan", "plug", "sensor");
    private static final Proving PROVING = new Proving(
            Duration.ofMinutes(5), Duration.ofMinutes(20), 2, List.of(new Proving.Wanted("fan-speed", 1500.0, null)));

    private static final FirstCheck SCREEN =
            look("screen", 0, 3, outcome("no speed, hot", "fan 0.9 plug 0.9"), outcome("no speed, cool", "sensor 0.9"));
    private static final FirstCheck OUTSIDE =
            look("outside", 1, 10, outcome("silent", "fan 0.9 plug 0.9"), outcome("hum", "sensor 0.95"));
    private static final FirstCheck CABINET = look(
            "cabinet",
            2,
            15,
            outcome("plug loose", "plug 0.95", List.of(), "plug"),
            outcome("plug seated", "fan 0.95"));
    private static final FirstCheck MEASURE = check(
            "measure",
            3,
            20,
            new Work(Circuit.INTERNAL_SUPPLY, Work.Act.MEASURE, List.of(), null, List.of()),
            new Measurement("d.c. voltage", "V", Measurement.Base.WRITTEN, 11.5, 12.5, "loaded", true),
            "permit of the bay",
            outcome("good", "fan 0.9", List.of(Verdict.WITHIN), null),
            outcome("low", "plug 0.9", List.of(Verdict.BELOW, Verdict.NONE), null),
            outcome("high", "", List.of(Verdict.ABOVE), null));
    private static final FirstCheck REPLACE = check(
            "replace",
            3,
            30,
            new Work(
                    Circuit.FAN,
                    Work.Act.REPLACE,
                    List.of(Work.Preparation.WORDS_SAVED, Work.Preparation.LOCKED),
                    "proof",
                    List.of("fan")),
            null,
            null,
            outcome("done", ""));
    private static final FirstCheck PROOF =
            look("proof", 0, 2, outcome("turns", ""), outcome("stands", "", List.of(), "fan"));
    private static final FirstCheck RESTART = check(
            "restart",
            0,
            1,
            new Work(Circuit.NONE, Work.Act.RESTART, List.of(Work.Preparation.WORDS_SAVED), null, List.of()),
            null,
            null,
            outcome("gone", "sensor 0.9"),
            outcome("still there", ""));

    private static Map<String, double[]> causes(double fan, double plug, double sensor) {
        Map<String, double[]> causes = new LinkedHashMap<>();
        causes.put("fan", new double[] {fan, 0.95});
        causes.put("plug", new double[] {plug, 0.95});
        causes.put("sensor", new double[] {sensor, 0.95});
        return causes;
    }

    /** One fault-finding, driven by hand; every event is kept. */
    private static final class Bench {
        final GuidedFaultFinding finding;
        final GuidedSession first;
        final List<GuidedEvent> events = new ArrayList<>();
        GuidedSession session;
        double minute;
        int keys;

        Bench(List<String> order, FirstCheck... checks) {
            this(Doubles.network(CAUSES, PROVING, order, checks), causes(0.01, 0.005, 0.005));
        }

        Bench(StationCauses network, Map<String, double[]> causes) {
            finding = new GuidedFaultFinding(network);
            first = finding.begin("s1", Doubles.diagnosis(Doubles.inference(1e-5, causes)));
            session = first;
        }

        GuidedInput.Entry entry(String who) {
            return entry(who, session.version());
        }

        GuidedInput.Entry entry(String who, long seen) {
            return new GuidedInput.Entry("k" + keys++, new Actor(who, "page"), at(minute), seen, null);
        }

        GuidedStep step(GuidedInput input) {
            GuidedStep step = finding.step(session, input);
            if (step instanceof GuidedStep.Taken taken) {
                session = taken.session();
                events.add(taken.event());
            }
            return step;
        }

        Bench take(GuidedInput input) {
            assertThat(step(input)).isInstanceOf(GuidedStep.Taken.class);
            return this;
        }

        GuidedStep.Reason refused(GuidedInput input) {
            GuidedSession before = session;
            GuidedStep step = step(input);
            assertThat(step).isInstanceOf(GuidedStep.Refused.class);
            assertThat(session).isSameAs(before);
            assertThat(((GuidedStep.Refused) step).remedy()).isNotBlank();
            return ((GuidedStep.Refused) step).reason();
        }

        Bench answer(String check, int outcome) {
            return take(new GuidedInput.Answered(entry("A. Tester"), id(check), outcome, ""));
        }

        Bench saved() {
            return take(new GuidedInput.WordsSaved(entry("A. Tester"), "record"));
        }

        Bench watched(double at, List<Sign> holding, List<Sign> untellable, int analyses, double speed) {
            minute = at;
            return take(new GuidedInput.Watched(
                    new GuidedInput.Entry("w" + keys++, new Actor("gateway", "rule"), at(at), session.version(), null),
                    holding,
                    untellable,
                    analyses,
                    Map.of("fan-speed", speed)));
        }

        Next next() {
            return finding.next(session, List.of());
        }

        String proposed() {
            Next next = next();
            assertThat(next).isInstanceOf(Next.Check.class);
            return ((Next.Check) next).proposal().check().check().id();
        }
    }

    // ---- which check comes next

    @Test
    void theLowestExposureThatStillHasAUsefulCheckComesFirst() {
        Bench bench = new Bench(List.of(), MEASURE, CABINET, SCREEN);

        assertThat(bench.proposed()).isEqualTo("screen");
        assertThat(bench.answer("screen", 0).proposed()).isEqualTo("cabinet");
    }

    @Test
    void ofOneExposureTheOneThatTellsMostAMinute() {
        FirstCheck slow = look("slow", 0, 30, outcome("a", "fan 0.99 plug 0.01 sensor 0.01"), outcome("b", ""));
        FirstCheck quick = look("quick", 0, 3, outcome("a", "fan 0.9 plug 0.1 sensor 0.1"), outcome("b", ""));
        Bench bench = new Bench(List.of(), slow, quick);

        Next.Check next = (Next.Check) bench.next();

        assertThat(next.proposal().check().check().id()).isEqualTo("quick");
        Next.Proposal other = next.others().get(0);
        assertThat(other.bits()).isGreaterThan(next.proposal().bits());
        assertThat(other.bitsPerMinute()).isLessThan(next.proposal().bitsPerMinute());
    }

    @Test
    void aFixedOrderIsObeyedWhateverWouldTellMore() {
        Bench bench = new Bench(List.of("outside", "screen"), MEASURE, CABINET, OUTSIDE, SCREEN);

        assertThat(bench.proposed()).isEqualTo("outside");
        assertThat(((Next.Check) bench.next()).proposal().why()).isEqualTo(Next.Why.FIXED_ORDER);
        assertThat(bench.answer("outside", 0).proposed()).isEqualTo("screen");
        assertThat(bench.answer("screen", 0).next()).isInstanceOf(Next.HandOver.class);
    }

    @Test
    void keepAwayWithdrawsEveryCheckOfExposure1AndAbove() {
        Bench bench = new Bench(List.of(), MEASURE, CABINET, OUTSIDE, SCREEN);

        Next.Check next = (Next.Check) bench.finding.next(bench.session, List.of("t1"));
        assertThat(next.proposal().check().check().exposure()).isZero();
        assertThat(next.others()).allMatch(p -> p.check().check().exposure() == 0);
        assertThat(next.withdrawn()).isEqualTo(3);
        bench.answer("screen", 0);
        assertThat(bench.finding.next(bench.session, List.of("t1")))
                .isInstanceOfSatisfying(
                        Next.HandOver.class, h -> assertThat(h.why()).contains("keep away"));
        assertThat(bench.finding.next(bench.session, List.of("t2"))).isInstanceOf(Next.Check.class);
    }

    @Test
    void keepAwayWithdrawsRepairsAndAFixedOrderToo() {
        Bench bench = new Bench(List.of("outside", "screen"), OUTSIDE, SCREEN, CABINET, REPLACE, PROOF);
        assertThat(((Next.Check) bench.finding.next(bench.session, List.of("t1")))
                        .proposal()
                        .check()
                        .id())
                .isEqualTo(id("screen"));
        bench.answer("cabinet", 0);
        Next.PutRight right = (Next.PutRight) bench.finding.next(bench.session, List.of("t1"));
        assertThat(right.steps()).isEmpty();
    }

    @Test
    void aRestartIsNeverProposedBeforeTheWordsWereSaved() {
        Bench bench = new Bench(List.of(), RESTART, OUTSIDE);

        assertThat(bench.proposed()).isEqualTo("outside");
        assertThat(bench.refused(new GuidedInput.Answered(bench.entry("A. Tester"), id("restart"), 0, "")))
                .isEqualTo(GuidedStep.Reason.WORDS_NOT_SAVED);
        assertThat(bench.saved().proposed()).isEqualTo("restart");
    }

    @Test
    void theOnlyLikelyCauseIsConfirmedByALookBeforeItCountsAsFound() {
        Bench bench = new Bench(Doubles.network(CAUSES, PROVING, List.of(), CABINET, SCREEN), causes(0.01, 1e-6, 1e-6));

        assertThat(bench.session.found()).isNull();
        assertThat(((Next.Check) bench.next()).proposal().why()).isEqualTo(Next.Why.CONFIRMS);
        assertThat(bench.proposed()).isEqualTo("screen");
        bench.answer("screen", 0);
        assertThat(bench.session.found()).isNotNull();
    }

    // ---- answers

    @Test
    void anOutcomeThatProvesACauseEndsTheSearch() {
        Bench bench = new Bench(List.of(), CABINET, SCREEN, REPLACE);

        bench.answer("cabinet", 0);

        assertThat(bench.session.found()).isNotNull();
        assertThat(bench.events.get(0).consequences())
                .anyMatch(c ->
                        c instanceof GuidedEvent.CauseFound f && f.cause().equals(id("plug")) && f.provedByCheck());
        assertThat(bench.next()).isInstanceOfSatisfying(Next.PutRight.class, p -> {
            assertThat(p.cause()).isEqualTo(id("plug"));
            assertThat(p.call()).isEqualTo("monitor technician");
        });
    }

    @Test
    void aCorrectedAnswerReplacesTheFirstAndBothStayInTheRecord() {
        Bench bench = new Bench(List.of(), CABINET, SCREEN);
        Belief once = bench.finding.belief(bench.answer("screen", 1).session);

        bench.answer("screen", 0).answer("screen", 1);

        assertThat(bench.finding.belief(bench.session).posterior(id("sensor"))).isEqualTo(once.posterior(id("sensor")));
        assertThat(bench.session.answers()).hasSize(3);
    }

    @Test
    void aMeasuredValueIsJudgedAndAnsweredByItsVerdict() {
        Bench bench = new Bench(List.of(), MEASURE, SCREEN);
        bench.take(new GuidedInput.Authorised(bench.entry("A. Tester"), id("measure"), "permit 12"));

        bench.take(new GuidedInput.Measured(bench.entry("A. Tester"), id("measure"), "10,9 V", true, true, ""));

        assertThat(bench.session.answers().get(0).outcome()).isEqualTo(1);
        assertThat(bench.events.get(1).consequences().get(0)).isInstanceOfSatisfying(GuidedEvent.Judged.class, j -> {
            assertThat(j.verdict()).isEqualTo(Verdict.BELOW);
            assertThat(j.value()).isEqualTo(10.9);
            assertThat(j.accepted()).isEqualTo("11.5 to 12.5 V");
        });
    }

    @Test
    void whatIsMissingBeforeAMeasurementCountsIsRefusedWithTheReason() {
        Bench bench = new Bench(List.of(), MEASURE, SCREEN);

        assertThat(bench.refused(measured(bench, "12 V", true))).isEqualTo(GuidedStep.Reason.NOT_AUTHORISED);
        bench.take(new GuidedInput.Authorised(bench.entry("A. Tester"), id("measure"), "permit 12"));
        assertThat(bench.refused(measured(bench, "12 V", false))).isEqualTo(GuidedStep.Reason.TESTER_NOT_PROVED);
        assertThat(bench.refused(measured(bench, "1,200 V", true))).isEqualTo(GuidedStep.Reason.UNCLEAR_VALUE);
        assertThat(bench.refused(measured(bench, "12", true))).isEqualTo(GuidedStep.Reason.UNCLEAR_VALUE);
        bench.take(measured(bench, "12 V", true));
    }

    private static GuidedInput measured(Bench bench, String written, boolean proved) {
        return new GuidedInput.Measured(bench.entry("A. Tester"), id("measure"), written, proved, proved, "");
    }

    // ---- several people, lost connections

    @Test
    void anInputThatComesTwiceCountsOnce() {
        Bench bench = new Bench(List.of(), SCREEN, OUTSIDE);
        GuidedInput input = new GuidedInput.Answered(bench.entry("A. Tester"), id("screen"), 0, "");
        bench.take(input);

        assertThat(bench.step(input)).isInstanceOf(GuidedStep.Repeated.class);
        assertThat(bench.session.version()).isEqualTo(1);
    }

    @Test
    void aSecondTechnicianSeesWhoIsAtWorkAndDoesNotOverwrite() {
        Bench bench = new Bench(List.of(), SCREEN, OUTSIDE);
        bench.take(new GuidedInput.Joined(bench.entry("A. Tester")))
                .take(new GuidedInput.Joined(bench.entry("B. Tester")));
        long seen = bench.session.version();
        assertThat(bench.session.atWork()).containsExactly("A. Tester", "B. Tester");
        bench.answer("screen", 0);

        assertThat(bench.refused(new GuidedInput.Answered(bench.entry("B. Tester", seen), id("screen"), 1, "")))
                .isEqualTo(GuidedStep.Reason.OVERTAKEN);
        assertThat(bench.refused(new GuidedInput.HandedOver(bench.entry("B. Tester", seen), "maker", "?")))
                .isEqualTo(GuidedStep.Reason.OVERTAKEN);
        // Another check was not overtaken, and who has seen the answer may correct it.
        bench.take(new GuidedInput.Answered(bench.entry("B. Tester", seen), id("outside"), 0, ""));
        bench.take(new GuidedInput.Answered(bench.entry("B. Tester"), id("screen"), 1, ""));
    }

    @Test
    void aQueueOfAnswersOfOnePersonPassesAfterALostConnection() {
        Bench bench = new Bench(List.of(), SCREEN, OUTSIDE, CABINET);
        long seen = bench.session.version();

        bench.take(new GuidedInput.Answered(bench.entry("A. Tester", seen), id("screen"), 0, ""))
                .take(new GuidedInput.Answered(bench.entry("A. Tester", seen), id("outside"), 0, ""))
                .take(new GuidedInput.Answered(bench.entry("A. Tester", seen), id("cabinet"), 1, ""));

        assertThat(bench.session.answers()).hasSize(3);
    }

    // ---- repair and proof

    private static Bench repaired() {
        Bench bench = new Bench(List.of(), SCREEN, OUTSIDE, CABINET, REPLACE, PROOF);
        bench.answer("screen", 0).answer("outside", 0).answer("cabinet", 1);
        GuidedSession.Found found = bench.session.found();
        assertThat(found).isNotNull();
        assertThat(found.cause()).isEqualTo(id("fan"));
        bench.saved();
        bench.take(new GuidedInput.Prepared(bench.entry("A. Tester"), id("replace"), Work.Preparation.LOCKED));
        bench.minute = 60;
        return bench.take(new GuidedInput.Repaired(bench.entry("A. Tester"), id("fan"), id("replace"), "new fan"));
    }

    @Test
    void aRepairCountsOnlyWhenAllIsConfirmedAndForItsOwnCause() {
        Bench bench = new Bench(List.of(), SCREEN, OUTSIDE, CABINET, REPLACE, PROOF);
        bench.answer("screen", 0).answer("outside", 0).answer("cabinet", 1);

        assertThat(((Next.PutRight) bench.next()).saveWordsFirst()).isTrue();
        assertThat(bench.refused(new GuidedInput.Repaired(bench.entry("A. Tester"), id("fan"), id("replace"), "")))
                .isEqualTo(GuidedStep.Reason.WORDS_NOT_SAVED);
        bench.saved();
        assertThat(bench.refused(new GuidedInput.Repaired(bench.entry("A. Tester"), id("fan"), id("replace"), "")))
                .isEqualTo(GuidedStep.Reason.NOT_PREPARED);
        assertThat(bench.refused(new GuidedInput.Repaired(bench.entry("A. Tester"), id("plug"), id("replace"), "")))
                .isEqualTo(GuidedStep.Reason.NOT_A_REPAIR);
        assertThat(((Next.PutRight) bench.next()).steps())
                .singleElement()
                .satisfies(p -> assertThat(p.toConfirm()).containsExactly(Work.Preparation.LOCKED));
    }

    @Test
    void afterARepairItIsWatchedForTheProvingTimeAndOnlyThenClosed() {
        Bench bench = repaired();
        assertThat(bench.proposed()).isEqualTo("proof");
        bench.watched(61, List.of(), List.of(), 0, 2000);
        bench.answer("proof", 0);
        bench.watched(70, List.of(), List.of(), 1, 2000);
        assertThat(bench.next()).isInstanceOf(Next.Watch.class);
        bench.watched(80, List.of(), List.of(), 1, 2000);
        assertThat(bench.session.ended()).as("20 minutes are not over").isFalse();
        bench.watched(82, List.of(), List.of(), 1, 2000);
        assertThat(bench.session.ended()).as("a gas loop needs two analyses").isFalse();
        bench.watched(83, List.of(), List.of(), 2, 2000);
        GuidedSession.Ending ending = bench.session.ending();
        assertThat(ending).isNotNull();
        assertThat(ending.kind()).isEqualTo(GuidedSession.Kind.PROVED_GONE);
        assertThat(ending.cause()).isEqualTo(id("fan"));
        assertThat(bench.refused(new GuidedInput.Answered(bench.entry("A. Tester"), id("screen"), 0, "")))
                .isEqualTo(GuidedStep.Reason.ENDED);
        bench.take(new GuidedInput.ControlRoomTold(bench.entry("A. Tester"), false, "shift"));
    }

    /** Common practice: after a restart wait 5 minutes before judging that such a fault persists. */
    @Test
    void aSignThatStillHoldsSaysNothingBeforeItHasSettledAndThenSendsBackToTheSearch() {
        Bench bench = repaired();
        bench.watched(64.9, List.of(Doubles.FAN), List.of(), 0, 0);
        assertThat(bench.session.watching()).isNotNull();

        bench.watched(65, List.of(Doubles.FAN), List.of(), 0, 0);

        assertThat(bench.session.watching()).isNull();
        assertThat(bench.session.found()).as("a repair in vain").isNull();
        assertThat(bench.events.get(bench.events.size() - 1).consequences())
                .anyMatch(c -> c instanceof GuidedEvent.RepairInVain);
        assertThat(bench.next()).isNotInstanceOf(Next.PutRight.class);
    }

    @Test
    void whatCannotBeToldAndAReadingThatIsNotAsWantedDoNotCountAsQuiet() {
        Bench bench = repaired();
        bench.answer("proof", 0);
        bench.watched(61, List.of(), List.of(), 2, 2000);
        bench.watched(75, List.of(), List.of(Doubles.FAN), 2, 2000);
        bench.watched(82, List.of(), List.of(), 2, 2000);
        assertThat(bench.session.ended()).as("the 20 minutes began anew").isFalse();
        bench.watched(90, List.of(), List.of(), 2, 900);
        bench.watched(103, List.of(), List.of(), 2, 2000);
        assertThat(bench.session.ended()).as("and anew").isFalse();
        bench.watched(123, List.of(), List.of(), 2, 2000);
        assertThat(bench.session.ended()).isTrue();
    }

    @Test
    void nothingIsClosedWithoutTheProof() {
        Bench bench = repaired();
        for (int minute = 61; minute < 120; minute++) {
            bench.watched(minute, List.of(), List.of(), 5, 2000);
        }
        assertThat(bench.session.ended()).isFalse();
        bench.answer("proof", 1);
        assertThat(bench.session.watching()).isNull();
    }

    @Test
    void itEndsWhenHandedOverOrGivenUp() {
        Bench over = new Bench(List.of(), SCREEN);
        over.take(new GuidedInput.HandedOver(over.entry("A. Tester"), "maker's service desk", "no more checks"));
        assertThat(over.next()).isInstanceOf(Next.Ended.class);
        Bench up = new Bench(List.of(), SCREEN);
        up.take(new GuidedInput.GivenUp(up.entry("A. Tester"), "called away"));
        assertThat(((Next.Ended) up.next()).ending().kind()).isEqualTo(GuidedSession.Kind.GIVEN_UP);
    }

    @Test
    void theSameEventsGiveTheSameSessionAgain() {
        Bench bench = repaired();
        bench.answer("proof", 0);
        bench.watched(61, List.of(), List.of(), 2, 2000).watched(85, List.of(), List.of(), 2, 2000);

        GuidedSession again = bench.first;
        for (GuidedEvent event : bench.events) {
            again = ((GuidedStep.Taken) bench.finding.step(again, event.input())).session();
        }

        assertThat(again).isEqualTo(bench.session);
        assertThat(again.ended()).isTrue();
    }
}
