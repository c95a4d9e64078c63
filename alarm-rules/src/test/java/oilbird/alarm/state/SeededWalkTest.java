package oilbird.alarm.state;

import static oilbird.alarm.state.Memory.OPERATOR;
import static oilbird.alarm.state.Memory.second;
import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import java.util.Objects;
import java.util.Random;
import java.util.Set;
import java.util.TreeSet;
import java.util.function.Supplier;
import oilbird.alarm.state.AlarmEvent.Annunciation;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Long random lives of one alarm, next to its naive twin, with what must always be true checked at every step. */
class SeededWalkTest {
    private static final int STEPS = 20_000;
    private static final Set<StateName> HIDDEN =
            Set.of(StateName.SHLVD, StateName.DSUPR, StateName.OOSRV, StateName.DISABLED);

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 5, 8, 13, 21, 34, 55, 89, 144, 233})
    void aLongLifeKeepsItsPromises(long seed) {
        Random random = new Random(seed);
        AlarmPolicy policy = anyPolicy(random);
        AlarmState state = AlarmState.initial(Memory.ID, policy);
        NaiveAlarm naive = new NaiveAlarm(state, policy, 0);
        Set<Kind> seen = new TreeSet<>();
        AlarmInput.@Nullable Evaluated told = null;
        long second = 1;

        for (int i = 0; i < STEPS; i++) {
            second += pause(random);
            AlarmInput input = anyInput(random, policy, state, second);
            AlarmState before = state;
            int number = i;
            Supplier<String> what =
                    () -> "seed " + seed + ", step " + number + ", " + policy + ": " + before + " takes " + input;

            AlarmStep step = AlarmMachine.step(state, input, policy);

            assertThat(AlarmMachine.step(state, input, policy)).as(what).isEqualTo(step);
            assertThat(NaiveAlarm.lines(step.events())).as(what).isEqualTo(naive.take(input));
            assertThat(NaiveAlarm.memories(step.next(), policy)).as(what).isEqualTo(naive.memories());
            assertThat(Objects.toString(step.refusal(), "")).as(what).isEqualTo(naive.refusal());
            checkPromises(what, state, input, told, step);
            checkWake(what, step, second, policy);

            step.events().forEach(e -> seen.add(e.kind()));
            if (input instanceof AlarmInput.Evaluated sample) {
                told = sample;
            }
            state = step.next();
            if (step.events().stream().anyMatch(e -> e.kind() != Kind.REFUSED)) {
                state = state.withLastEvent("e" + i);
                naive.lastEvent("e" + i);
            }
        }
        Set<Kind> expected = new TreeSet<>(List.of(Kind.values()));
        if (policy.acknowledgement() == Acknowledgement.BY_PERSON
                || (policy.acknowledgement() == Acknowledgement.ON_RETURN && policy.latching())) {
            expected.remove(Kind.AUTO_ACKNOWLEDGED);
        }
        // Point tests change no memory; the station tells of them.
        expected.removeAll(List.of(Kind.TEST_FORCED, Kind.TEST_ENDED));
        if (policy.acknowledgement() == Acknowledgement.BY_RULE) {
            expected.remove(Kind.ACKNOWLEDGED);
        }
        if (!policy.confirmation()) {
            expected.remove(Kind.CONFIRMED);
        }
        if (policy.reAlarmTime().isZero()) {
            expected.remove(Kind.RE_ALARMED);
        }
        if (!policy.latching()) {
            expected.remove(Kind.RESET);
        }
        assertThat(seen).as("seed " + seed + ": kinds of events met").isEqualTo(expected);
    }

    private static void checkPromises(
            Supplier<String> what,
            AlarmState before,
            AlarmInput input,
            AlarmInput.@Nullable Evaluated earlier,
            AlarmStep step) {
        AlarmState after = step.next();
        List<AlarmEvent> events = step.events();

        long activations = count(events, Kind.RAISED) + count(events, Kind.ESCALATED);
        assertThat(after.occurrence()).as(what).isEqualTo(before.occurrence() + activations);

        boolean clearAnswer = input instanceof AlarmInput.Evaluated now && tells(now, IndicationState.DOES_NOT_HOLD);
        boolean clearBefore = earlier != null && tells(earlier, IndicationState.DOES_NOT_HOLD);
        if (count(events, Kind.RETURNED) > 0 || count(events, Kind.EASED) > 0 || (before.active() && !after.active())) {
            boolean eased = count(events, Kind.RETURNED) == 0;
            boolean voided = input instanceof AlarmInput.EvidenceVoided back
                    && before.active()
                    && !back.before().active();
            assertThat(eased || clearAnswer || clearBefore || voided)
                    .as(() -> "cleared by good data only: " + what.get())
                    .isTrue();
        }
        if (count(events, Kind.RAISED) > 0) {
            boolean holds =
                    (input instanceof AlarmInput.Evaluated now && holds(now)) || (earlier != null && holds(earlier));
            assertThat(holds)
                    .as(() -> "raised by usable data only: " + what.get())
                    .isTrue();
        }
        for (AlarmEvent e : events) {
            if (HIDDEN.contains(e.after())) {
                assertThat(e.annunciate()).as(what).isIn(Annunciation.NONE, Annunciation.END);
            }
            if (e.annunciate() == Annunciation.START) {
                assertThat(e.after()).as(what).isEqualTo(StateName.UNACK);
            }
            assertThat(e.at()).as(what).isEqualTo(input.at());
            assertThat(e.alarm()).as(what).isEqualTo(Memory.ID);
        }
        if (!after.acknowledged()) {
            assertThat(after.confirmed()).as(what).isTrue();
        }
        if (!before.confirmed() && after.confirmed() && after.acknowledged()) {
            boolean answered = count(events, Kind.CONFIRMED) + count(events, Kind.VOIDED) == 1;
            assertThat(answered || count(events, Kind.AUTO_ACKNOWLEDGED) > 0)
                    .as(() -> "confirmed by nobody: " + what.get())
                    .isTrue();
        }
        if (before.latched() && !after.latched()) {
            assertThat(count(events, Kind.RESET) + count(events, Kind.VOIDED))
                    .as(what)
                    .isOne();
        }
        if (before.outOfService() != null && after.outOfService() == null) {
            assertThat(input).as(what).isInstanceOf(AlarmInput.PlaceInService.class);
        }
        if (!before.enabled() && !after.enabled()) {
            boolean kept = after.active() == before.active() || count(events, Kind.VOIDED) == 1;
            assertThat(kept).as(what).isTrue();
        }
        if (step.refusal() != null) {
            assertThat(count(events, Kind.REFUSED)).as(what).isOne();
            assertThat(events.get(events.size() - 1).kind()).as(what).isEqualTo(Kind.REFUSED);
            if (events.size() == 1) {
                assertThat(after).as(what).isSameAs(before);
            }
        }
        if (!events.isEmpty()) {
            AlarmEvent last = events.get(events.size() - 1);
            assertThat(last.after()).as(what).isEqualTo(after.name());
            assertThat(last.active()).as(what).isEqualTo(after.active());
            assertThat(last.acknowledged()).as(what).isEqualTo(after.acknowledged());
            assertThat(last.confirmed()).as(what).isEqualTo(after.confirmed());
            assertThat(last.latched()).as(what).isEqualTo(after.latched());
            assertThat(last.enabled()).as(what).isEqualTo(after.enabled());
            assertThat(last.shelving()).as(what).isEqualTo(after.shelving().kind());
            assertThat(last.shelvedFor())
                    .as(what)
                    .isEqualTo(
                            after.shelving().kind() == Shelving.Kind.NONE
                                    ? Duration.ZERO
                                    : Duration.ofNanos(after.shelving().until()
                                            - input.at().monotonicNanos()));
            assertThat(last.suppressedByDesign()).as(what).isEqualTo(after.suppressedByDesign());
            assertThat(last.outOfService()).as(what).isEqualTo(after.outOfService() != null);
            assertThat(last.reAlarms()).as(what).isEqualTo(after.reAlarms());
            assertThat(last.occurrence()).as(what).isEqualTo(after.occurrence());
            assertThat(last.priority()).as(what).isEqualTo(after.priority());
            if (after.enabled() && after.unfinished()) {
                assertThat(last.quality()).as(what).isEqualTo(after.quality());
            }
        } else {
            assertThat(after.name()).as(what).isEqualTo(before.name());
        }
    }

    /** Nothing is overdue, nothing happens before the time told, something happens then. */
    private static void checkWake(Supplier<String> what, AlarmStep step, long second, AlarmPolicy policy) {
        if (step.wakeAt() == AlarmState.NEVER) {
            AlarmStep muchLater =
                    AlarmMachine.step(step.next(), new AlarmInput.Elapsed(second(second + 1_000_000)), policy);
            assertThat(muchLater.next()).as(what).isSameAs(step.next());
            assertThat(muchLater.events()).as(what).isEmpty();
            return;
        }
        long wake = step.wakeAt() / 1_000_000_000L;
        assertThat(wake).as(what).isGreaterThan(second);
        AlarmStep early = AlarmMachine.step(
                step.next(),
                new AlarmInput.Elapsed(second(second).plusNanos(step.wakeAt() - second * 1_000_000_000L - 1)),
                policy);
        assertThat(early.next()).as(what).isSameAs(step.next());
        assertThat(early.events()).as(what).isEmpty();
        assertThat(early.wakeAt()).as(what).isEqualTo(step.wakeAt());
        AlarmStep due = AlarmMachine.step(step.next(), new AlarmInput.Elapsed(second(wake)), policy);
        assertThat(due.events()).as(what).isNotEmpty();
    }

    private static boolean tells(AlarmInput.Evaluated sample, IndicationState condition) {
        return sample.condition() == condition && sample.quality() == Quality.GOOD;
    }

    private static boolean holds(AlarmInput.Evaluated sample) {
        return sample.condition() == IndicationState.HOLDS && sample.quality() != Quality.BAD;
    }

    private static long count(List<AlarmEvent> events, Kind kind) {
        return events.stream().filter(e -> e.kind() == kind).count();
    }

    private static long pause(Random random) {
        int dice = random.nextInt(100);
        return dice < 30 ? 0 : dice < 90 ? 1 + random.nextInt(4) : 1 + random.nextInt(90);
    }

    private static AlarmPolicy anyPolicy(Random random) {
        Acknowledgement acknowledgement = Acknowledgement.values()[random.nextInt(Acknowledgement.values().length)];
        return new AlarmPolicy(
                AlarmClass.EQUIPMENT_HEALTH,
                Priority.MINOR,
                Duration.ofSeconds(random.nextInt(3) * 3L),
                Duration.ofSeconds(random.nextInt(3) * 2L),
                1 + random.nextInt(3),
                1 + random.nextInt(3),
                random.nextBoolean(),
                acknowledgement,
                random.nextBoolean(),
                Duration.ofSeconds(random.nextInt(2) * 20L),
                true,
                Memory.MAX_SHELVE,
                true);
    }

    private static AlarmInput anyInput(Random random, AlarmPolicy policy, AlarmState state, long s) {
        var at = second(s);
        int dice = random.nextInt(100);
        if (dice < 62) {
            boolean settled = random.nextInt(100) < 85;
            boolean holds = (s / 40) % 2 == 0;
            IndicationState condition = settled
                    ? (holds ? IndicationState.HOLDS : IndicationState.DOES_NOT_HOLD)
                    : IndicationState.values()[random.nextInt(3)];
            Quality quality = random.nextInt(100) < 85 ? Quality.GOOD : Quality.values()[random.nextInt(3)];
            Priority priority = random.nextInt(100) < 80
                    ? Priority.values()[(int) (s / 15 % 3)]
                    : Priority.values()[random.nextInt(4)];
            return new AlarmInput.Evaluated(condition, quality, priority, "at " + s, at);
        }
        if (dice < 72) {
            return new AlarmInput.Elapsed(at);
        }
        if (dice < 80) {
            return new AlarmInput.Acknowledge(OPERATOR, "seen", anyEventId(random, state), at);
        }
        Duration time = Duration.ofSeconds(random.nextInt(62) - 1);
        return switch (random.nextInt(21)) {
            case 0 -> new AlarmInput.ShelveTimed(OPERATOR, "r", time, at);
            case 1 -> new AlarmInput.ShelveOneShot(OPERATOR, "r", at);
            case 2, 3 -> new AlarmInput.Unshelve(OPERATOR, "r", at);
            case 4 -> new AlarmInput.SuppressByDesign(true, "pump-off", at);
            case 5 -> new AlarmInput.SuppressByDesign(false, "pump-off", at);
            case 6 -> new AlarmInput.RemoveFromService(OPERATOR, "r", "P-1", time, at);
            case 7, 8 -> new AlarmInput.PlaceInService(OPERATOR, "r", at);
            case 9 -> new AlarmInput.Disable(OPERATOR, "r", at);
            case 10, 11 -> new AlarmInput.Enable(OPERATOR, "r", at);
            case 12 -> new AlarmInput.Comment(OPERATOR, "c", anyEventId(random, state), at);
            case 13, 14 -> new AlarmInput.Confirm(OPERATOR, "done", anyEventId(random, state), at);
            case 15, 16 -> new AlarmInput.Confirm(OPERATOR, "done", state.lastEvent(), at);
            case 17 -> new AlarmInput.Suppress(OPERATOR, "r", at);
            case 18 -> new AlarmInput.Unsuppress(OPERATOR, "r", at);
            case 19 ->
                new AlarmInput.EvidenceVoided(
                        new AlarmInput.Before(
                                random.nextBoolean(),
                                random.nextBoolean(),
                                !policy.confirmation() || random.nextBoolean(),
                                random.nextBoolean(),
                                Priority.values()[random.nextInt(4)]),
                        "r",
                        at);
            default -> new AlarmInput.Reset(OPERATOR, "r", at);
        };
    }

    private static @Nullable String anyEventId(Random random, AlarmState state) {
        return switch (random.nextInt(6)) {
            case 5 -> state.confirmedEvent();
            case 0 -> "e-1";
            case 1 -> null;
            case 2 -> state.acknowledgedEvent();
            default -> state.lastEvent();
        };
    }
}
