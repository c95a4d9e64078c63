package oilbird.alarm.state;

import static oilbird.alarm.state.Memory.OPERATOR;
import static oilbird.alarm.state.Memory.second;
import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import java.util.TreeSet;
import java.util.function.Supplier;
import java.util.stream.Stream;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * Every combination of memories with every kind of input, whether in the standard's table or not: each is carried
 * out, refused with a reason or ignored, as {@link NaiveAlarm} says.
 */
class EveryMemoryTimesEveryInputTest {
    private static final long NOW = 100;

    static Stream<AlarmPolicy> policies() {
        List<AlarmPolicy> all = new ArrayList<>();
        for (boolean latching : new boolean[] {false, true}) {
            for (Acknowledgement acknowledgement : Acknowledgement.values()) {
                all.add(Memory.policy(latching, acknowledgement, 0, 1, 0));
                all.add(Memory.policy(latching, acknowledgement, 10, 2, 30));
            }
        }
        all.add(Memory.restricted(Memory.plain(), false, false));
        for (Acknowledgement acknowledgement : Acknowledgement.values()) {
            all.add(Memory.confirmed(Memory.policy(true, acknowledgement, 0, 1, 30)));
            all.add(Memory.confirmed(Memory.policy(false, acknowledgement, 10, 2, 0)));
        }
        return all.stream();
    }

    @ParameterizedTest
    @MethodSource("policies")
    void theMachineDoesWhatItsNaiveTwinDoes(AlarmPolicy policy) {
        long compared = 0;
        for (AlarmState state : memories(policy)) {
            for (AlarmInput input : inputs(state)) {
                NaiveAlarm naive = new NaiveAlarm(state, policy, NOW - 1);
                List<String> expected = naive.take(input);

                AlarmStep step = AlarmMachine.step(state, input, policy);

                Supplier<String> what = () -> state + " takes " + input;
                assertThat(NaiveAlarm.lines(step.events())).as(what).isEqualTo(expected);
                assertThat(NaiveAlarm.memories(step.next(), policy)).as(what).isEqualTo(naive.memories());
                assertThat(Objects.toString(step.refusal(), "")).as(what).isEqualTo(naive.refusal());
                compared++;
            }
        }
        assertThat(compared).isGreaterThan(20_000);
    }

    @Test
    void noKindOfInputIsLeftOut() {
        List<AlarmInput> inputs = inputs(Memory.named(StateName.UNACK).state());
        TreeSet<String> used = new TreeSet<>();
        inputs.forEach(i -> used.add(i.getClass().getSimpleName()));
        assertThat(used).isEqualTo(kinds(AlarmInput.class)).hasSize(17);
    }

    private static TreeSet<String> kinds(Class<?> type) {
        TreeSet<String> names = new TreeSet<>();
        if (type.isSealed()) {
            Arrays.stream(type.getPermittedSubclasses()).forEach(t -> names.addAll(kinds(t)));
        } else {
            names.add(type.getSimpleName());
        }
        return names;
    }

    @Test
    void everyRefusalIsReachedByThisTest() {
        TreeSet<Refusal> seen = new TreeSet<>();
        policies()
                .forEach(policy -> memories(policy)
                        .forEach(state -> inputs(state).forEach(input -> {
                            Refusal refusal =
                                    AlarmMachine.step(state, input, policy).refusal();
                            if (refusal != null) {
                                seen.add(refusal);
                            }
                        })));
        TreeSet<Refusal> all = new TreeSet<>(List.of(Refusal.values()));
        all.removeIf(Refusal::ofStation); // there must be an alarm to come this far
        assertThat(seen).isEqualTo(all);
    }

    private static List<AlarmState> memories(AlarmPolicy policy) {
        List<AlarmState> all = new ArrayList<>();
        for (int bits = 0; bits < 512; bits++) {
            boolean unconfirmed = (bits & 64) != 0;
            boolean overruled = (bits & 128) != 0;
            if ((unconfirmed && (bits & 2) == 0) || (overruled && (bits & 16) == 0)) {
                continue; // only what is acknowledged waits for confirmation, only what logic asks for is lifted
            }
            for (Shelving.Kind shelving : Shelving.Kind.values()) {
                Memory m = new Memory();
                m.active = (bits & 1) != 0;
                m.acknowledged = (bits & 2) != 0;
                m.latched = (bits & 4) != 0;
                m.enabled = (bits & 8) != 0;
                m.suppressed = (bits & 16) != 0;
                m.removed = (bits & 32) != 0;
                m.confirmed = !unconfirmed;
                m.overruled = overruled;
                m.fromOutside = (bits & 256) != 0;
                m.shelving = shelving;
                AlarmState bare = m.state();
                if (bare.name() == StateName.ACKED && !policy.reAlarmTime().isZero()) {
                    m.reAlarm = NOW + 20;
                }
                for (@Nullable Pending pending : pendings(m.active)) {
                    m.pending = pending;
                    all.add(m.state());
                }
                m.pending = null;
                for (Quality quality : List.of(Quality.UNCERTAIN, Quality.BAD)) {
                    m.quality = quality;
                    all.add(m.state());
                }
                // deadlines that are over with this very input
                m.shelvedUntil = NOW;
                m.reminder = m.removed ? NOW : AlarmState.NEVER;
                m.reAlarm = m.reAlarm == AlarmState.NEVER ? AlarmState.NEVER : NOW;
                all.add(m.state());
            }
        }
        return all;
    }

    private static List<@Nullable Pending> pendings(boolean active) {
        long since = second(NOW - 5).monotonicNanos();
        long longAgo = second(NOW - 10).monotonicNanos();
        List<@Nullable Pending> all = new ArrayList<>();
        all.add(null);
        if (active) {
            all.add(new Pending(Pending.Change.RETURN, since, 1, Priority.MINOR, "a"));
            all.add(new Pending(Pending.Change.RETURN, longAgo, 2, Priority.MINOR, "a"));
            all.add(new Pending(Pending.Change.ESCALATE, longAgo, 1, Priority.MAJOR, "a"));
            all.add(new Pending(Pending.Change.EASE, longAgo, 2, Priority.WARNING, "a"));
        } else {
            all.add(new Pending(Pending.Change.RAISE, since, 2, Priority.MAJOR, "a"));
            all.add(new Pending(Pending.Change.RAISE, longAgo, 1, Priority.MAJOR, "a"));
        }
        return all;
    }

    private static List<AlarmInput> inputs(AlarmState state) {
        var now = second(NOW);
        List<AlarmInput> all = new ArrayList<>();
        for (IndicationState condition : IndicationState.values()) {
            for (Quality quality : Quality.values()) {
                for (Priority priority : List.of(Priority.MAJOR, Priority.MINOR, Priority.WARNING)) {
                    all.add(new AlarmInput.Evaluated(condition, quality, priority, "e", now));
                }
            }
        }
        all.add(new AlarmInput.Elapsed(now));
        for (@Nullable String id : Arrays.asList(null, state.lastEvent(), state.acknowledgedEvent(), "never issued")) {
            all.add(new AlarmInput.Acknowledge(OPERATOR, "c", id, now));
            all.add(new AlarmInput.Comment(OPERATOR, "c", id, now));
        }
        for (@Nullable String id : Arrays.asList(null, state.lastEvent(), state.confirmedEvent(), "never issued")) {
            all.add(new AlarmInput.Confirm(OPERATOR, "c", id, now));
        }
        all.add(new AlarmInput.Suppress(OPERATOR, "c", now));
        all.add(new AlarmInput.Unsuppress(OPERATOR, "c", now));
        all.add(new AlarmInput.Reset(OPERATOR, "c", now));
        for (long millis : new long[] {-1000, 0, 1000, 60_000, 60_001}) {
            all.add(new AlarmInput.ShelveTimed(OPERATOR, "c", Duration.ofMillis(millis), now));
            all.add(new AlarmInput.RemoveFromService(OPERATOR, "c", "", Duration.ofMillis(millis / 1000 * 1000), now));
        }
        all.add(new AlarmInput.ShelveOneShot(OPERATOR, "c", now));
        all.add(new AlarmInput.Unshelve(OPERATOR, "c", now));
        all.add(new AlarmInput.SuppressByDesign(true, "pump-off", now));
        all.add(new AlarmInput.SuppressByDesign(false, "pump-off", now));
        for (int bits = 0; bits < 16; bits++) {
            for (Priority priority : List.of(Priority.MAJOR, Priority.MINOR, Priority.WARNING)) {
                AlarmInput.Before before = new AlarmInput.Before(
                        (bits & 1) != 0, (bits & 2) != 0, (bits & 8) != 0, (bits & 4) != 0, priority);
                all.add(new AlarmInput.EvidenceVoided(before, "c", now));
            }
        }
        all.add(new AlarmInput.PlaceInService(OPERATOR, "c", now));
        all.add(new AlarmInput.Disable(OPERATOR, "c", now));
        all.add(new AlarmInput.Enable(OPERATOR, "c", now));
        return all;
    }
}
