package oilbird.alarm.state;

import static oilbird.alarm.state.Memory.OPERATOR;
import static oilbird.alarm.state.Memory.second;
import static org.assertj.core.api.Assertions.assertThat;
import static org.junit.jupiter.api.DynamicContainer.dynamicContainer;
import static org.junit.jupiter.api.DynamicTest.dynamicTest;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import java.util.stream.Stream;
import oilbird.alarm.state.AlarmEvent.Annunciation;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.DynamicContainer;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;

/**
 * Reads {@code alarm_state_transitions.csv} and holds every cell of every row against the machine.
 *
 * <p>Source of the table: IEC 62682 / ISA-18.2 through public secondary texts, and OPC 10000-9 (1.05). Rows with
 * {@code conf} M are from memory, rows with "advice" our own proposal; the name of each test says so.
 *
 * <p>A cell that this test does not know fails; none is skipped.
 */
class TransitionTableTest {
    private static final String TABLE = "alarm_state_transitions.csv";
    private static final long NOW = 100;

    record Row(
            String id,
            String from,
            String event,
            String guard,
            String to,
            String annunciate,
            String opcUaEffect,
            String mustLog,
            String confidence) {}

    /** What happened in one run of one row. */
    record Run(
            AlarmState before,
            AlarmState after,
            List<AlarmEvent> events,
            @Nullable Refusal refusal,
            AlarmPolicy policy) {
        boolean has(Kind kind) {
            return events.stream().anyMatch(e -> e.kind() == kind);
        }

        AlarmEvent only(Kind kind) {
            List<AlarmEvent> found =
                    events.stream().filter(e -> e.kind() == kind).toList();
            assertThat(found).as("events of kind " + kind).hasSize(1);
            return found.get(0);
        }

        boolean retain() {
            return after.enabled() && (after.active() || !after.acknowledged() || after.latched());
        }
    }

    @Test
    void theTableHasAllItsRows() {
        List<Row> rows = rows();
        assertThat(rows).hasSize(49);
        assertThat(rows.stream().map(Row::id).distinct()).hasSize(49);
    }

    @TestFactory
    Stream<DynamicContainer> everyRow() {
        return rows().stream().map(row -> {
            List<DynamicTest> tests = new ArrayList<>();
            for (AlarmPolicy policy : policies(row)) {
                for (Memory from : froms(row)) {
                    AlarmState state = fit(from, policy).state();
                    if (admits(row.guard(), state, policy)) {
                        tests.add(dynamicTest(describe(state, policy), () -> check(row, state, policy)));
                    }
                }
            }
            assertThat(tests).as("cases for " + row.id()).isNotEmpty();
            return dynamicContainer(
                    row.id() + " (conf " + row.confidence() + ") " + row.from() + ": " + row.event() + " ["
                            + row.guard() + "]",
                    tests);
        });
    }

    private static void check(Row row, AlarmState state, AlarmPolicy policy) {
        Run run = run(row, state, policy);
        checkTo(row, run);
        checkAnnunciation(row.annunciate(), run);
        for (String effect : row.opcUaEffect().split("; ")) {
            checkOpcUaEffect(row, effect, run);
        }
        for (String entry : row.mustLog().split("[+](?!1)")) {
            checkLogged(row, entry, run);
        }
    }

    // Column "from"

    private static List<Memory> froms(Row row) {
        return switch (row.from()) {
            case "UNACK or ACKED" -> List.of(named(StateName.UNACK), named(StateName.ACKED));
            case "any unsuppressed" -> Memory.each(StateName.NORM);
            case "any" -> {
                List<Memory> any = new ArrayList<>(Memory.each(StateName.NORM));
                any.addAll(Memory.each(StateName.SHLVD));
                any.addAll(Memory.each(StateName.DSUPR));
                any.addAll(Memory.each(StateName.OOSRV));
                if (!(row.event().equals("disable") || row.event().startsWith("acknowledge"))) {
                    any.addAll(Memory.each(StateName.DISABLED)); // those two calls are refused as such: OPC 10000-9
                }
                // entering a layer: the alarms that are not in it yet
                any.removeIf(m -> row.event().equals("remove from service") && m.removed);
                any.removeIf(m -> row.event().equals("design-suppression logic true") && m.suppressed);
                yield any;
            }
            case "not shelved" -> {
                List<Memory> any = new ArrayList<>(Memory.each(StateName.NORM));
                any.addAll(Memory.each(StateName.DSUPR));
                any.addAll(Memory.each(StateName.OOSRV));
                yield any;
            }
            case "SHLVD" -> {
                List<Memory> any = new ArrayList<>(Memory.each(StateName.SHLVD));
                Memory.each(StateName.SHLVD).forEach(m -> any.add(m.once()));
                if (row.event().startsWith("shelve")) {
                    any.removeIf(m -> m.shelving == Shelving.Kind.ONE_SHOT);
                }
                yield any;
            }
            case "SHLVD (timed)" -> Memory.each(StateName.SHLVD);
            case "SHLVD (one-shot)" ->
                Memory.each(StateName.SHLVD).stream()
                        .filter(m -> m.active) // "becomes false"
                        .map(Memory::once)
                        .toList();
            case "DSUPR" -> Memory.each(StateName.DSUPR);
            case "OOSRV" -> Memory.each(StateName.OOSRV);
            case "disabled" -> Memory.each(StateName.DISABLED);
            default -> List.of(named(StateName.valueOf(row.from())));
        };
    }

    private static Memory named(StateName name) {
        return Memory.named(name);
    }

    /** A latching alarm is latched while it is active. */
    private static Memory fit(Memory from, AlarmPolicy policy) {
        from.latched = from.latched || (from.active && policy.latching());
        from.priority = Priority.MINOR;
        return from;
    }

    // Column "guard"

    private static List<AlarmPolicy> policies(Row row) {
        boolean[] latching = switch (row.guard()) {
            case "latching=yes" -> new boolean[] {true};
            case "latching=no", "latching=no and autoAck=no", "latching=no and autoAck=yes" -> new boolean[] {false};
            default -> new boolean[] {false, true};
        };
        List<Acknowledgement> acknowledgements = switch (row.guard()) {
            case "latching=no and autoAck=yes" -> List.of(Acknowledgement.ON_RETURN, Acknowledgement.BY_RULE);
            case "latching=yes", "latching=no" -> List.of(Acknowledgement.BY_PERSON, Acknowledgement.ON_RETURN);
            default -> List.of(Acknowledgement.BY_PERSON);
        };
        List<AlarmPolicy> policies = new ArrayList<>();
        for (boolean latches : latching) {
            for (Acknowledgement acknowledgement : acknowledgements) {
                int reAlarm = row.guard().equals("ReAlarmTime>0") ? 30 : 0;
                policies.add(Memory.policy(latches, acknowledgement, 10, 3, reAlarm));
                if (!row.event().contains(" < ")) {
                    policies.add(Memory.policy(latches, acknowledgement, 0, 1, reAlarm));
                }
            }
        }
        if (row.guard().equals("never for the cause alarm")) {
            policies.add(Memory.restricted(Memory.plain(), true, false));
        }
        return policies;
    }

    private static boolean admits(String guard, AlarmState state, AlarmPolicy policy) {
        return switch (guard) {
            case "-",
                    "valid EventId and role",
                    "valid EventId",
                    "latching=no and autoAck=no",
                    "latching=no and autoAck=yes",
                    "latching=yes",
                    "latching=no",
                    "ReAlarmTime>0",
                    "multi-level alarm",
                    "0 < t <= max and class allows",
                    "t > max",
                    "class allows",
                    "server forbids restart",
                    "shelving state not stored",
                    "never for the cause alarm",
                    "role and permit",
                    "hold policy",
                    "link to device lost",
                    "no branch kept" -> true;
            case "not suppressed" -> !state.suppressed();
            case "condition true" -> state.active();
            case "condition false" -> !state.active();
            case "latched=no" -> !state.latched() && !policy.latching();
            case "latched=yes" -> state.latched();
            case "condition false; latched=no" -> !state.active() && !state.latched();
            case "condition false; latched=yes" -> !state.active() && state.latched();
            default -> throw new AssertionError("a guard this test does not know: " + guard);
        };
    }

    // Column "event"

    private static Run run(Row row, AlarmState state, AlarmPolicy policy) {
        return switch (row.event()) {
            case "condition true for >= on-delay" -> feed(state, policy, told(true, policy));
            case "condition true for < on-delay" -> feed(state, policy, tooShort(true, policy));
            case "condition false for >= off-delay", "condition becomes false" ->
                feed(state, policy, told(false, policy));
            case "condition false for < off-delay" -> feed(state, policy, tooShort(false, policy));
            case "condition true/false changes" -> {
                List<AlarmInput> inputs = new ArrayList<>(told(!state.active(), policy));
                yield feed(state, policy, inputs);
            }
            case "severity or limit level rises" ->
                feed(
                        state,
                        policy,
                        told(true, policy).stream()
                                .map(s -> (AlarmInput) critical(s.at()))
                                .toList());
            case "operator acknowledge" ->
                feed(
                        state,
                        policy,
                        List.of(new AlarmInput.Acknowledge(OPERATOR, "seen", state.lastEvent(), second(NOW))));
            case "acknowledge with old EventId" ->
                feed(state, policy, List.of(new AlarmInput.Acknowledge(OPERATOR, "seen", "e2", second(NOW))));
            case "operator reset" ->
                feed(state, policy, List.of(new AlarmInput.Reset(OPERATOR, "fan runs", second(NOW))));
            case "re-alarm timer expires" -> {
                AlarmStep acknowledged = AlarmMachine.step(
                        unacknowledged(state), new AlarmInput.Acknowledge(OPERATOR, "", null, second(NOW)), policy);
                assertThat(acknowledged.next().name()).isEqualTo(StateName.ACKED);
                yield feed(
                        acknowledged.next(),
                        policy,
                        List.of(new AlarmInput.Elapsed(
                                second(NOW + policy.reAlarmTime().toSeconds()))));
            }
            case "shelve (timed)" -> {
                Duration t =
                        row.guard().equals("t > max") ? policy.maxShelveTime().plusNanos(1) : policy.maxShelveTime();
                yield feed(
                        state, policy, List.of(new AlarmInput.ShelveTimed(OPERATOR, "fan on order", t, second(NOW))));
            }
            case "shelve timed again" ->
                feed(
                        state,
                        policy,
                        List.of(new AlarmInput.ShelveTimed(OPERATOR, "again", Duration.ofSeconds(9), second(NOW))));
            case "shelve one-shot" ->
                feed(state, policy, List.of(new AlarmInput.ShelveOneShot(OPERATOR, "fan on order", second(NOW))));
            case "shelving time expires" -> feed(state, policy, List.of(new AlarmInput.Elapsed(second(1_000))));
            case "operator unshelve" ->
                feed(state, policy, List.of(new AlarmInput.Unshelve(OPERATOR, "fan runs", second(NOW))));
            case "server restart" -> {
                AlarmStep step = AlarmMachine.restart(state, null, second(3), policy);
                yield new Run(state, step.next(), step.events(), step.refusal(), policy);
            }
            case "design-suppression logic true" ->
                feed(state, policy, List.of(new AlarmInput.SuppressByDesign(true, "pump-off", second(NOW))));
            case "design-suppression logic false" ->
                feed(state, policy, List.of(new AlarmInput.SuppressByDesign(false, "pump-off", second(NOW))));
            case "remove from service" ->
                feed(
                        state,
                        policy,
                        List.of(new AlarmInput.RemoveFromService(
                                OPERATOR, "fan exchange", "P-12", Duration.ZERO, second(NOW))));
            case "place in service" ->
                feed(state, policy, List.of(new AlarmInput.PlaceInService(OPERATOR, "done", second(NOW))));
            case "disable" -> feed(state, policy, List.of(new AlarmInput.Disable(OPERATOR, "not fitted", second(NOW))));
            case "enable" -> feed(state, policy, List.of(new AlarmInput.Enable(OPERATOR, "fitted", second(NOW))));
            case "source quality goes bad", "link to device lost > timeout" ->
                feed(state, policy, List.of(sample(IndicationState.CANNOT_BE_TOLD, Quality.BAD, Priority.MINOR, NOW)));
            case "comment added" ->
                feed(
                        state,
                        policy,
                        List.of(new AlarmInput.Comment(OPERATOR, "crew called", state.lastEvent(), second(NOW))));
            default -> throw new AssertionError("an event this test does not know: " + row.event());
        };
    }

    private static AlarmState unacknowledged(AlarmState s) {
        Memory m = Memory.named(StateName.UNACK);
        m.latched = s.latched();
        return m.state();
    }

    private static AlarmInput.Evaluated sample(IndicationState condition, Quality quality, Priority priority, long s) {
        return new AlarmInput.Evaluated(condition, quality, priority, "seen at " + s, second(s));
    }

    private static AlarmInput.Evaluated critical(Moment at) {
        return new AlarmInput.Evaluated(IndicationState.HOLDS, Quality.GOOD, Priority.CRITICAL, "higher", at);
    }

    private static AlarmInput.Evaluated sample(boolean holds, long s) {
        return sample(holds ? IndicationState.HOLDS : IndicationState.DOES_NOT_HOLD, Quality.GOOD, Priority.MINOR, s);
    }

    /** Just enough samples over just enough time. */
    private static List<AlarmInput> told(boolean holds, AlarmPolicy policy) {
        return policy.onSamples() == 1
                ? List.of(sample(holds, NOW))
                : List.of(sample(holds, NOW), sample(holds, NOW + 5), sample(holds, NOW + 10));
    }

    /** Enough samples in too short a time, the opposite, and then enough time with too few samples. */
    private static List<AlarmInput> tooShort(boolean holds, AlarmPolicy policy) {
        assertThat(policy.onDelay()).isEqualTo(Duration.ofSeconds(10));
        return List.of(
                sample(holds, NOW),
                sample(holds, NOW + 1),
                sample(holds, NOW + 2),
                sample(holds, NOW + 9),
                sample(!holds, NOW + 9),
                sample(holds, NOW + 10),
                sample(holds, NOW + 60),
                new AlarmInput.Elapsed(second(NOW + 70)),
                sample(!holds, NOW + 70));
    }

    private static Run feed(AlarmState state, AlarmPolicy policy, List<AlarmInput> inputs) {
        AlarmState now = state;
        List<AlarmEvent> events = new ArrayList<>();
        Refusal refusal = null;
        for (AlarmInput input : inputs) {
            AlarmStep step = AlarmMachine.step(now, input, policy);
            now = step.next();
            events.addAll(step.events());
            refusal = step.refusal();
        }
        return new Run(state, now, events, refusal, policy);
    }

    // Column "to"

    private static void checkTo(Row row, Run run) {
        AlarmState after = run.after();
        switch (row.to()) {
            case "unchanged", "same state" -> {
                assertThat(after.name()).isEqualTo(run.before().name());
                assertThat(memories(after)).isEqualTo(memories(run.before()));
            }
            case "same state plus separate system alarm" -> {
                assertThat(memories(after)).isEqualTo(memories(run.before()));
                checkSeparateSystemAlarm();
            }
            case "LTACK if acknowledged else LTUNK" ->
                assertThat(after.name()).isEqualTo(run.before().acknowledged() ? StateName.LTACK : StateName.LTUNK);
            case "UNACK or NORM" -> {
                // a latch is kept, as in the rows ending in L
                StateName latched = run.before().acknowledged() ? StateName.LTACK : StateName.LTUNK;
                assertThat(after.name())
                        .isEqualTo(
                                run.before().active()
                                        ? StateName.UNACK
                                        : run.before().latched() ? latched : StateName.NORM);
            }
            case "disabled" -> {
                assertThat(after.enabled()).isFalse();
                assertThat(after.name()).isEqualTo(StateName.DISABLED);
            }
            case "DSUPR" -> {
                assertThat(after.suppressedByDesign()).isEqualTo(run.policy().suppressionAllowed());
                assertThat(after.name()).isEqualTo(byPrecedence(StateName.DSUPR, run));
            }
            case "SHLVD" -> {
                assertThat(after.shelving().kind()).isNotEqualTo(Shelving.Kind.NONE);
                assertThat(after.name()).isEqualTo(byPrecedence(StateName.SHLVD, run));
            }
            case "OOSRV" -> {
                assertThat(after.outOfService()).isNotNull();
                assertThat(after.name()).isEqualTo(byPrecedence(StateName.OOSRV, run));
            }
            default -> assertThat(after.name()).isEqualTo(StateName.valueOf(row.to()));
        }
    }

    /** Display precedence OOSRV, SHLVD, DSUPR is from memory (conf M): IEC 62682 leaves it to the site. */
    private static StateName byPrecedence(StateName entered, Run run) {
        StateName before = run.before().name();
        if (entered == StateName.DSUPR && !run.policy().suppressionAllowed()) {
            return before;
        }
        List<StateName> precedence = List.of(StateName.DISABLED, StateName.OOSRV, StateName.SHLVD, StateName.DSUPR);
        return precedence.contains(before) && precedence.indexOf(before) < precedence.indexOf(entered)
                ? before
                : entered;
    }

    private static List<Object> memories(AlarmState s) {
        return Arrays.asList(
                s.enabled(),
                s.active(),
                s.acknowledged(),
                s.latched(),
                s.shelving(),
                s.suppressedByDesign(),
                Objects.toString(s.outOfService()),
                s.occurrence(),
                s.priority());
    }

    /** T42: the link's own alarm is an ordinary one, raised once after its time-out. */
    private static void checkSeparateSystemAlarm() {
        AlarmPolicy timeOut = Memory.policy(false, Acknowledgement.BY_PERSON, 10, 3, 0);
        AlarmState normal = AlarmState.initial(new AlarmId("T1", "cooling.communication"), timeOut);
        List<AlarmInput> lost = new ArrayList<>();
        for (int s = 0; s < 30; s++) {
            lost.add(sample(true, NOW + s));
        }
        Run run = feed(normal, timeOut, lost);
        assertThat(run.after().name()).isEqualTo(StateName.UNACK);
        assertThat(run.events()).hasSize(1);
        assertThat(run.only(Kind.RAISED).annunciate()).isEqualTo(Annunciation.START);
        assertThat(run.only(Kind.RAISED).at()).isEqualTo(second(NOW + 10));
    }

    // Column "annunciate"

    private static void checkAnnunciation(String word, Run run) {
        boolean shown = run.before().annunciated();
        Annunciation expected = switch (word) {
            case "start" -> Annunciation.START;
            case "none", "continue", "unchanged", "mark quality", "one system alarm only" -> Annunciation.NONE;
            case "stop horn and flash", "steady" -> Annunciation.STEADY;
            case "change form" -> Annunciation.CHANGE_FORM;
            case "stop" -> shown && !run.after().annunciated() ? Annunciation.END : Annunciation.NONE;
            case "end" -> Annunciation.END;
            case "per condition" ->
                run.before().active()
                        ? Annunciation.START
                        : run.before().latched() ? Annunciation.STEADY : Annunciation.NONE;
            default -> throw new AssertionError("an annunciation this test does not know: " + word);
        };
        List<Annunciation> told = run.events().stream()
                .map(AlarmEvent::annunciate)
                .filter(a -> a != Annunciation.NONE)
                .toList();
        assertThat(told).isEqualTo(expected == Annunciation.NONE ? List.of() : List.of(expected));
    }

    // Column "opcua_effect"

    private static void checkOpcUaEffect(Row row, String effect, Run run) {
        AlarmState after = run.after();
        if (effect.equals("none")) {
            assertThat(run.events()).isEmpty();
        } else if (effect.startsWith("call refused ") || effect.startsWith("refused ")) {
            Refusal refusal = Objects.requireNonNull(run.refusal(), "refusal");
            assertThat(refusal.opcUaStatus()).isEqualTo(effect.substring(effect.indexOf("Bad_")));
            assertThat(after).isSameAs(run.before());
        } else if (effect.equals("new EventId")) {
            assertThat(run.events()).isNotEmpty();
        } else if (effect.startsWith("LimitState change ")) {
            assertThat(after.priority()).isEqualTo(Priority.CRITICAL);
            checkOpcUaEffect(row, effect.substring("LimitState change ".length()), run);
        } else if (effect.equals("optional branch for the old occurrence")) {
            // optional, and not kept: the present state is the only one
            assertThat(after.occurrence()).isEqualTo(run.before().occurrence() + 1);
        } else if (effect.equals("later reads Bad_ConditionDisabled")) {
            AlarmInput later = new AlarmInput.Acknowledge(OPERATOR, "", null, second(NOW + 1));
            Refusal refusal = Objects.requireNonNull(
                    AlarmMachine.step(after, later, run.policy()).refusal());
            assertThat(refusal.opcUaStatus()).isEqualTo("Bad_ConditionDisabled");
        } else if (effect.equals("ActiveState follows")) {
            assertThat(after.active()).isNotEqualTo(run.before().active());
        } else if (effect.equals("stays shelved")) {
            assertThat(after.shelving()).isEqualTo(run.before().shelving());
        } else if (effect.equals("EnabledState=T evaluate Retain=T event")) {
            assertThat(after.enabled()).isTrue();
            assertThat(run.retain()).isTrue();
            assertThat(run.events()).isNotEmpty();
        } else if (effect.equals("Quality=Bad...") || effect.equals("Quality=BadNoCommunication on children")) {
            assertThat(after.quality()).isEqualTo(Quality.BAD);
        } else if (effect.equals("event raised")) {
            // one for an alarm that is of interest, none for a normal or a disabled one
            boolean ofInterest = run.retain();
            assertThat(run.has(Kind.QUALITY_CHANGED)).isEqualTo(ofInterest);
            assertThat(run.events()).hasSize(ofInterest ? 1 : 0);
        } else if (effect.equals("ActiveState held")) {
            assertThat(after.active()).isEqualTo(run.before().active());
        } else if (effect.equals("SystemDiagnosticAlarm active")) {
            checkSeparateSystemAlarm();
        } else if (effect.equals("Comment+ClientUserId")) {
            assertThat(run.only(Kind.COMMENTED).text()).isEqualTo("crew called");
            assertThat(run.only(Kind.COMMENTED).by()).isEqualTo(OPERATOR);
        } else {
            for (String variable : effect.split(" ")) {
                checkVariable(row, variable, run);
            }
        }
    }

    private static void checkVariable(Row row, String variable, Run run) {
        AlarmState after = run.after();
        boolean possible = !row.to().equals("DSUPR") || run.policy().suppressionAllowed();
        switch (variable) {
            case "ActiveState=T" -> assertThat(after.active()).isTrue();
            case "ActiveState=F" -> assertThat(after.active()).isFalse();
            case "AckedState=T" -> assertThat(after.acknowledged()).isTrue();
            case "AckedState=F" -> assertThat(after.acknowledged()).isFalse();
            case "LatchedState=T" -> assertThat(after.latched()).isTrue();
            case "LatchedState=F" -> assertThat(after.latched()).isFalse();
            case "Retain=T" -> assertThat(run.retain()).isTrue();
            case "Retain=F" -> assertThat(run.retain()).isFalse();
            case "EnabledState=F" -> assertThat(after.enabled()).isFalse();
            case "SuppressedState=T" -> assertThat(after.suppressedByDesign()).isEqualTo(possible);
            case "SuppressedState=F" -> assertThat(after.suppressedByDesign()).isFalse();
            case "OutOfServiceState=T" -> assertThat(after.outOfService()).isNotNull();
            case "OutOfServiceState=F" -> assertThat(after.outOfService()).isNull();
            case "SuppressedOrShelved=T" ->
                assertThat(after.suppressed())
                        .isEqualTo(possible || run.before().suppressed());
            case "SuppressedOrShelved=F" -> assertThat(after.suppressed()).isFalse();
            case "ShelvingState=TimedShelved" ->
                assertThat(after.shelving().kind()).isEqualTo(Shelving.Kind.TIMED);
            case "ShelvingState=OneShotShelved" ->
                assertThat(after.shelving().kind()).isEqualTo(Shelving.Kind.ONE_SHOT);
            case "ShelvingState=Unshelved" -> assertThat(after.shelving()).isEqualTo(Shelving.NONE);
            case "UnshelveTime=t" ->
                assertThat(after.shelving().until())
                        .isEqualTo(second(NOW).monotonicNanos()
                                + run.policy().maxShelveTime().toNanos());
            case "ReAlarmRepeatCount+1" ->
                assertThat(after.reAlarms()).isEqualTo(run.before().reAlarms() + 1);
            default -> throw new AssertionError("an effect this test does not know: " + variable);
        }
    }

    // Column "must_log"

    private static void checkLogged(Row row, String entry, Run run) {
        boolean activates = entry.equals("activation +1")
                || row.id().equals("T29")
                || row.id().equals("T40");
        if (!activates) {
            assertThat(run.after().occurrence()).isEqualTo(run.before().occurrence());
        }
        switch (entry) {
            case "activation +1" -> {
                Kind kind = row.id().equals("T11") ? Kind.ESCALATED : Kind.RAISED;
                assertThat(run.after().occurrence()).isEqualTo(run.before().occurrence() + 1);
                assertThat(run.only(kind).occurrence()).isEqualTo(run.after().occurrence());
            }
            // the input record keeps raw changes; they are no alarm events
            case "raw event only" -> assertThat(run.events()).isEmpty();
            case "raw event" ->
                assertThat(run.has(run.before().active() ? Kind.RETURNED : Kind.RAISED))
                        .isTrue();
            case "return" -> {
                assertThat(run.only(Kind.RETURNED).by()).isNull();
            }
            case "auto-ack" -> {
                Actor by =
                        Objects.requireNonNull(run.only(Kind.AUTO_ACKNOWLEDGED).by());
                assertThat(by.door()).isEqualTo("rule");
            }
            case "re-alarm" -> run.only(Kind.RE_ALARMED);
            case "auto-unshelve" ->
                assertThat(run.only(Kind.AUTO_UNSHELVED).by()).isNull();
            case "restart note" ->
                assertThat(run.only(Kind.AUTO_UNSHELVED).text()).startsWith("restart");
            case "quality" -> assertThat(run.has(Kind.QUALITY_CHANGED)).isEqualTo(run.retain());
            case "refused call" -> {
                AlarmEvent refused = run.only(Kind.REFUSED);
                assertThat(run.events()).hasSize(1);
                assertThat(refused.by()).isEqualTo(OPERATOR);
                assertThat(refused.text())
                        .contains(Objects.requireNonNull(run.refusal()).name());
            }
            case "user" -> assertThat(run.events()).anyMatch(e -> OPERATOR.equals(e.by()));
            case "time" -> assertThat(run.events()).allMatch(e -> e.at().equals(second(NOW)));
            case "comment" ->
                assertThat(run.events())
                        .anyMatch(e -> e.text().equals("seen") || e.text().equals("crew called"));
            case "reason" -> assertThat(run.only(Kind.SHELVED).text()).startsWith("fan on order");
            case "t" -> assertThat(run.only(Kind.SHELVED).text()).contains("PT1M");
            case "permit" ->
                assertThat(run.only(Kind.REMOVED_FROM_SERVICE).text()).contains("P-12");
            case "logic id" -> checkLogic(run);
            // the first to come is told from the rest by its place in the record: T42 raises one alarm only
            case "first-out" -> assertThat(run.events()).noneMatch(e -> e.annunciate() == Annunciation.START);
            default -> throw new AssertionError("a log entry this test does not know: " + entry);
        }
    }

    private static void checkLogic(Run run) {
        if (run.before().suppressedByDesign() == run.after().suppressedByDesign()) {
            assertThat(run.events()).isEmpty();
            return;
        }
        Kind kind = run.after().suppressedByDesign() ? Kind.SUPPRESSED : Kind.UNSUPPRESSED;
        assertThat(run.only(kind).text()).isEqualTo("pump-off");
        assertThat(run.only(kind).by()).isEqualTo(new Actor("pump-off", "rule"));
    }

    private static String describe(AlarmState s, AlarmPolicy p) {
        return "%s active=%s acknowledged=%s latched=%s %s, %s latching=%s delay=%s samples=%d"
                .formatted(
                        s.name(),
                        s.active(),
                        s.acknowledged(),
                        s.latched(),
                        s.shelving().kind(),
                        p.acknowledgement(),
                        p.latching(),
                        p.onDelay(),
                        p.onSamples());
    }

    private static List<Row> rows() {
        try (InputStream in = Objects.requireNonNull(TransitionTableTest.class.getResourceAsStream(TABLE))) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8)
                    .lines()
                    .filter(line -> !line.startsWith("#") && !line.startsWith("id,"))
                    .map(line -> line.split(",", -1))
                    .map(c -> {
                        assertThat(c).hasSize(9);
                        return new Row(c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7], c[8]);
                    })
                    .toList();
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }
}
