package oilbird.gateway.engine.outbox;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import java.util.Set;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.state.StateName;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.gateway.engine.StationFixture;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;

/** The rules of the fixture are all MINOR and of the class INSTRUMENT_DIAGNOSTIC. */
class SieveTest {
    private static final Moment NOON = new Moment(1_000, 1_795_600_000_000L, true);

    private final List<RuleInstance> rules = StationFixture.model(2).rules();
    private long sequence;

    private Sieve sieve(LinkFilter filter) {
        return new Sieve(
                "desk",
                filter,
                alarm -> rules.stream()
                        .filter(rule -> rule.id().equals(alarm))
                        .findFirst()
                        .orElse(null));
    }

    private RecordedEvent recorded(StationEvent event) {
        return new RecordedEvent(event.id().sequence(), event, true);
    }

    private EventId id() {
        return new EventId("windlow-gw", 1, ++sequence);
    }

    private RecordedEvent event(AlarmId alarm, AlarmEvent.Kind kind, boolean active, Priority priority) {
        return recorded(new StationEvent.OfAlarm(
                id(),
                new AlarmEvent(
                        alarm,
                        1,
                        kind,
                        active ? StateName.UNACK : StateName.NORM,
                        active,
                        !active,
                        true,
                        false,
                        true,
                        Shelving.Kind.NONE,
                        Duration.ZERO,
                        false,
                        false,
                        0,
                        AlarmEvent.Annunciation.NONE,
                        priority,
                        Quality.GOOD,
                        null,
                        "",
                        NOON),
                List.of()));
    }

    private RecordedEvent notice(StationEvent.Notice.Kind kind, String subject) {
        return recorded(new StationEvent.Notice(id(), kind, new SignalId("gateway", subject), "", NOON));
    }

    @Test
    void anAlarmThatWentOutIsClearedThereThoughItsPriorityHasFallenMeanwhile() {
        Sieve sieve = sieve(new LinkFilter(List.of(), Set.of(Priority.CRITICAL), Set.of(), Set.of()));
        AlarmId alarm = StationFixture.alarm(0);
        assertThat(sieve.test(event(alarm, AlarmEvent.Kind.RAISED, true, Priority.MINOR)))
                .isFalse();
        assertThat(sieve.test(event(alarm, AlarmEvent.Kind.ESCALATED, true, Priority.CRITICAL)))
                .isTrue();
        assertThat(sieve.test(event(alarm, AlarmEvent.Kind.EASED, true, Priority.MINOR)))
                .isTrue();
        assertThat(sieve.test(event(alarm, AlarmEvent.Kind.RETURNED, false, Priority.MINOR)))
                .isTrue();
        assertThat(sieve.test(event(alarm, AlarmEvent.Kind.RAISED, true, Priority.MINOR)))
                .as("a new life of the alarm")
                .isFalse();
    }

    @Test
    void assetClassAndKindEachNarrowWhatGoesOut() {
        RecordedEvent raised = event(StationFixture.alarm(0), AlarmEvent.Kind.RAISED, true, Priority.MINOR);
        assertThat(sieve(LinkFilter.NONE).test(raised)).isTrue();
        assertThat(sieve(new LinkFilter(List.of("tx-1"), Set.of(), Set.of(), Set.of()))
                        .test(raised))
                .isTrue();
        assertThat(sieve(new LinkFilter(List.of("gateway"), Set.of(), Set.of(), Set.of()))
                        .test(raised))
                .isFalse();
        assertThat(sieve(new LinkFilter(List.of(), Set.of(), Set.of(AlarmClass.SAFETY), Set.of()))
                        .test(raised))
                .isFalse();
        assertThat(sieve(new LinkFilter(List.of(), Set.of(), Set.of(), Set.of(LinkFilter.Kind.NOTICE)))
                        .test(raised))
                .isFalse();
        assertThat(sieve(new LinkFilter(List.of(), Set.of(), Set.of(), Set.of(LinkFilter.Kind.NOTICE)))
                        .test(notice(StationEvent.Notice.Kind.DEVICE_LOST, "gas-1")))
                .isTrue();
    }

    @Test
    void keepAwayTestsAndGapsGoOutWhateverTheFilterSaysAndAreMeantForTheirLinkAlone() {
        Sieve sieve = sieve(new LinkFilter(
                List.of("gateway"), Set.of(Priority.CRITICAL), Set.of(), Set.of(LinkFilter.Kind.READING)));
        assertThat(sieve.test(recorded(new StationEvent.KeptAway(
                        id(), StationEvent.KeptAway.Kind.RAISED, "tx-1", List.of("gas"), null, "", NOON))))
                .isTrue();
        assertThat(sieve.test(notice(StationEvent.Notice.Kind.LINK_TESTED, "desk")))
                .isTrue();
        assertThat(sieve.test(notice(StationEvent.Notice.Kind.EVENTS_MISSED, "desk")))
                .isTrue();
        assertThat(sieve(LinkFilter.NONE).test(notice(StationEvent.Notice.Kind.LINK_TESTED, "other")))
                .isFalse();
    }

    @Test
    void anAlarmWhoseRuleIsGoneIsLetThrough() {
        Sieve sieve = sieve(new LinkFilter(List.of(), Set.of(Priority.CRITICAL), Set.of(), Set.of()));
        AlarmId gone = new AlarmId("tx-1", "gas-1.no-longer-there");
        assertThat(sieve.test(event(gone, AlarmEvent.Kind.RETURNED, false, Priority.MINOR)))
                .isTrue();
    }
}
