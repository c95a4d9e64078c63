package oilbird.gateway.engine.writer;

import static oilbird.gateway.engine.StationFixture.GATEWAY;
import static oilbird.gateway.engine.StationFixture.alarm;
import static oilbird.gateway.engine.StationFixture.fans;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.tuple;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.StateName;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.StationFixture;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.RecordVerifier;
import oilbird.gateway.engine.record.RecordedEvent;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;

/** The engine whole: real fold, real disk, real threads. */
@Timeout(120)
class StationEngineTest {
    private static final Actor OPERATOR = new Actor("A. Operator", "page");

    @TempDir
    Path data;

    private final GatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());
    private final LinkedBlockingQueue<RecordedEvent> told = new LinkedBlockingQueue<>();

    private StationEngine start(int fans, Link... links) throws Exception {
        StationEngine engine =
                StationEngine.open(StationFixture.model(fans), GATEWAY, data, clock, WriterSettings.DEFAULT);
        engine.writer().onCommitted(told::addAll);
        for (Link link : links) {
            engine.addLink(link, LinkRunner.Settings.DEFAULT);
        }
        engine.start();
        return engine;
    }

    private AlarmEvent awaitAlarm(AlarmEvent.Kind kind) throws InterruptedException {
        while (true) {
            RecordedEvent next = told.poll(30, TimeUnit.SECONDS);
            assertThat(next).as("an event %s", kind).isNotNull();
            if (next.event() instanceof StationEvent.OfAlarm ofAlarm
                    && ofAlarm.event().kind() == kind) {
                return ofAlarm.event();
            }
        }
    }

    private static ActResult act(StationEngine engine, int fan, AlarmInput.Act act) throws Exception {
        return engine.acts().act(new StationInput.Act(alarm(fan), act)).get(30, TimeUnit.SECONDS);
    }

    private static AlarmState state(StationEngine engine, int fan) {
        StationView view = engine.writer().view();
        assertThat(view).isNotNull();
        StationView.AlarmView alarm = view.alarms().get(alarm(fan));
        assertThat(alarm).isNotNull();
        return alarm.state();
    }

    @Test
    void aFaultBecomesAnAlarmIsRecordedAndOutlivesARestart() throws Exception {
        try (StationEngine engine = start(3)) {
            engine.inputs().offer(fans(3, 0b111, clock.now()));
            for (int i = 0; i < 3; i++) {
                assertThat(awaitAlarm(AlarmEvent.Kind.RAISED).after()).isEqualTo(StateName.UNACK);
            }
            assertThat(act(engine, 0, new AlarmInput.Acknowledge(OPERATOR, "seen", null, clock.now())))
                    .isInstanceOf(ActResult.Done.class);
            assertThat(act(engine, 1, new AlarmInput.ShelveTimed(OPERATOR, "known", Duration.ofHours(1), clock.now())))
                    .isInstanceOf(ActResult.Done.class);
            assertThat(act(engine, 1, new AlarmInput.Reset(OPERATOR, "", clock.now())))
                    .isInstanceOf(ActResult.Refused.class);
        }
        for (int restart = 0; restart < 3; restart++) {
            try (StationEngine engine = start(3)) {
                engine.inputs().offer(fans(3, 0b101, clock.now()));
                ActResult comment =
                        act(engine, 2, new AlarmInput.Comment(OPERATOR, "restart " + restart, null, clock.now()));
                assertThat(comment).isInstanceOf(ActResult.Done.class);
            }
        }
        try (StationEngine engine = start(3)) {
            act(engine, 2, new AlarmInput.Comment(OPERATOR, "last", null, clock.now()));
            List<AlarmState> recovered = engine.recovered().states();
            assertThat(recovered)
                    .filteredOn(state -> state.id().equals(alarm(0)))
                    .extracting(AlarmState::name, AlarmState::occurrence)
                    .containsExactly(tuple(StateName.ACKED, 1L));
            AlarmState shelved = state(engine, 1);
            assertThat(shelved.name()).isEqualTo(StateName.SHLVD);
            long left = shelved.shelving().until() - clock.now().monotonicNanos();
            assertThat(Duration.ofNanos(left))
                    .as("an hour was not begun anew by four restarts, nor cut short")
                    .isBetween(Duration.ofMinutes(50), Duration.ofHours(1));
        }
        assertThat(RecordVerifier.verify(data.resolve(EventRecord.FILE)).findings())
                .isEmpty();
    }

    @Test
    void aLinkGetsWhatHappenedWhileItsOtherSideWasAwayAndNothingTwiceAfterACleanStop() throws Exception {
        Receiver away = new Receiver(false);
        try (StationEngine engine = start(3, away)) {
            engine.inputs().offer(fans(3, 0b011, clock.now()));
            awaitAlarm(AlarmEvent.Kind.RAISED);
            awaitAlarm(AlarmEvent.Kind.RAISED);
            assertThat(engine.links()).singleElement().satisfies(link -> {
                assertThat(link.confirmed()).isZero();
                assertThat(link.waiting()).isGreaterThanOrEqualTo(2);
            });
        }
        assertThat(away.arrived).isEmpty();

        Receiver back = new Receiver(true);
        Set<Object> first = new HashSet<>();
        try (StationEngine engine = start(3, back)) {
            long end = engine.recovered().nextPosition() - 1;
            while (first.size() < end) {
                RecordedEvent event = back.arrived.poll(30, TimeUnit.SECONDS);
                assertThat(event).isNotNull();
                first.add(event.event().id());
            }
            engine.inputs().offer(fans(3, 0b011, clock.now()));
            act(engine, 2, new AlarmInput.Comment(OPERATOR, "x", null, clock.now()));
        }
        List<Object> rest = new ArrayList<>();
        back.arrived.forEach(event -> rest.add(event.event().id()));

        Receiver again = new Receiver(true);
        try (StationEngine engine = start(3, again)) {
            act(engine, 2, new AlarmInput.Comment(OPERATOR, "y", null, clock.now()));
            RecordedEvent event = again.arrived.poll(30, TimeUnit.SECONDS);
            assertThat(event).isNotNull();
            assertThat(first).doesNotContain(event.event().id());
            assertThat(rest.indexOf(event.event().id()))
                    .as("of what was confirmed before the stop nothing comes again")
                    .isEqualTo(-1);
        }
    }

    @Test
    void aDamagedRecordIsSetAsideAndAnAlarmSaysSo() throws Exception {
        Files.createDirectories(data);
        Files.writeString(data.resolve(EventRecord.FILE), "damaged ".repeat(1_000));
        try (StationEngine engine = start(1)) {
            AlarmEvent raised = awaitAlarm(AlarmEvent.Kind.RAISED);
            assertThat(raised.alarm()).isEqualTo(StationFixture.gatewayAlarm(GatewayIndication.RECORD_SET_ASIDE));
            assertThat(engine.record().setAside()).isNotNull();
        }
    }

    @Test
    void tenThousandAlarmEventsAtOnceAreAllRecordedInOrder() throws Exception {
        int fans = 60;
        int toggles = 170;
        try (StationEngine engine = start(fans)) {
            for (int i = 0; i < toggles; i++) {
                assertThat(engine.inputs().offer(fans(fans, i % 2 == 0 ? -1L : 0, clock.now())))
                        .isTrue();
            }
            int seen = 0;
            List<Long> positions = new ArrayList<>();
            while (seen < fans * toggles) {
                RecordedEvent next = told.poll(30, TimeUnit.SECONDS);
                assertThat(next).isNotNull();
                positions.add(next.position());
                if (next.event() instanceof StationEvent.OfAlarm ofAlarm
                        && ofAlarm.event().alarm().asset().equals("tx-1")) {
                    seen++;
                }
            }
            assertThat(positions).isSorted().doesNotHaveDuplicates();
            assertThat(engine.writer().status().losses().any()).isFalse();
        }
        assertThat(RecordVerifier.verify(data.resolve(EventRecord.FILE)).findings())
                .isEmpty();
    }

    private static final class Receiver implements Link {
        final LinkedBlockingQueue<RecordedEvent> arrived = new LinkedBlockingQueue<>();
        private final boolean there;

        Receiver(boolean there) {
            this.there = there;
        }

        @Override
        public String id() {
            return "scada";
        }

        @Override
        public void open() throws IOException {
            if (!there) {
                throw new IOException("no route");
            }
        }

        @Override
        public CompletionStage<Void> send(RecordedEvent event) {
            arrived.add(event);
            return CompletableFuture.completedFuture(null);
        }

        @Override
        public void close() {}
    }

    @Test
    void maintenanceAndPointTestsOutliveARestartOfTheProcess() throws Exception {
        try (StationEngine engine = start(2)) {
            engine.inputs().offer(fans(2, 0, clock.now()));
            assertThat(ask(
                            engine,
                            new StationInput.BeginMaintenance(
                                    StationFixture.MONITOR, OPERATOR, "fan", "P-1", Duration.ofHours(1), clock.now())))
                    .isInstanceOf(ActResult.Done.class);
            assertThat(ask(
                            engine,
                            new StationInput.TestAlarm(alarm(1), true, OPERATOR, Duration.ofMinutes(30), clock.now())))
                    .isInstanceOf(ActResult.Done.class);
            assertThat(ask(
                            engine,
                            new StationInput.BeginMaintenance(
                                    "nothing", OPERATOR, "", "", Duration.ofHours(1), clock.now())))
                    .isInstanceOf(ActResult.Refused.class);
        }
        try (StationEngine engine = start(2)) {
            assertThat(engine.recovered().past().standing().maintenance())
                    .singleElement()
                    .satisfies(m -> {
                        assertThat(m.of()).isEqualTo(StationFixture.MONITOR);
                        assertThat(m.permit()).isEqualTo("P-1");
                        assertThat(m.taken()).containsExactly(alarm(0), alarm(1));
                    });
            assertThat(ask(
                            engine,
                            new StationInput.EndMaintenance(StationFixture.MONITOR, OPERATOR, "done", clock.now())))
                    .isInstanceOf(ActResult.Done.class);
            assertThat(ask(engine, new StationInput.EndAlarmTest(alarm(1), OPERATOR, clock.now())))
                    .isInstanceOf(ActResult.Done.class);
        }
        try (StationEngine engine = start(2)) {
            assertThat(engine.recovered().past().standing().isEmpty()).isTrue();
            act(engine, 0, new AlarmInput.Comment(OPERATOR, "in service again", null, clock.now()));
        }
        try (EventRecord record = EventRecord.open(data, clock.now()).record()) {
            assertThat(record.after(0, 1_000))
                    .map(RecordedEvent::event)
                    .filteredOn(e ->
                            e instanceof StationEvent.OfAlarm of && of.event().test())
                    .hasSize(1);
        }
    }

    private static ActResult ask(StationEngine engine, StationInput.Asked asked) throws Exception {
        return engine.acts().act(asked).get(30, TimeUnit.SECONDS);
    }
}
