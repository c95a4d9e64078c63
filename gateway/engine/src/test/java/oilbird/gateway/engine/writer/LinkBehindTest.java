package oilbird.gateway.engine.writer;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.concurrent.Callable;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.engine.StationFixture;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.RecordBound;
import oilbird.gateway.engine.record.RecordVerifier;
import oilbird.gateway.engine.record.RecordedEvent;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** A link whose other side is away for longer than the event record reaches back. */
class LinkBehindTest {
    private static final Actor OPERATOR = new Actor("A. Tester", "rest");

    @TempDir
    Path folder = Path.of("");

    private final SystemGatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());

    private static final class Far implements Link {
        final List<RecordedEvent> got = new ArrayList<>();
        volatile boolean there;

        @Override
        public String id() {
            return "far";
        }

        @Override
        public void open() throws IOException {
            if (!there) {
                throw new IOException("nobody there");
            }
        }

        @Override
        public CompletionStage<Void> send(RecordedEvent event) {
            synchronized (got) {
                got.add(event);
            }
            return CompletableFuture.completedFuture(null);
        }

        @Override
        public void close() {}

        List<RecordedEvent> got() {
            synchronized (got) {
                return List.copyOf(got);
            }
        }
    }

    @Test
    void anAlarmComesBeforeEventsAreLostForALinkAndANoticeSaysWhichItMissed() throws Exception {
        Far far = new Far();
        // Memory of the outbox aside: the record alone is to bite.
        RecordBound bound = new RecordBound(16_000_000, Duration.ZERO, 500);
        try (StationEngine engine = StationEngine.open(
                StationFixture.model(4), StationFixture.GATEWAY, folder, clock, WriterSettings.DEFAULT, bound)) {
            engine.addLink(
                    far,
                    new LinkRunner.Settings(
                            64,
                            Duration.ofSeconds(5),
                            Duration.ofMillis(50),
                            Duration.ofMillis(200),
                            Duration.ofMillis(100)));
            engine.start();
            await("the first picture", () -> engine.writer().view() != null);
            engine.inputs().offer(StationFixture.fans(4, 1, clock.now()));
            int comments = 0;
            while (!active(engine, GatewayIndication.LINK_FALLS_BEHIND)) {
                assertThat(active(engine, GatewayIndication.LINK_EVENTS_MISSED)).isFalse();
                assertThat(comments).as("comments until the alarm").isLessThan(200_000);
                comments += comment(engine, 1_000);
            }
            assertThat(engine.record().after(0, 1).get(0).position())
                    .as("nothing is lost for the link when the alarm comes")
                    .isEqualTo(1);
            while (engine.record().missed("far") == null) {
                assertThat(comments).as("comments until the bound bites").isLessThan(200_000);
                comments += comment(engine, 1_000);
            }

            far.there = true;
            await(
                    "the link has caught up",
                    () -> engine.links().get(0).waiting() == 0
                            && far.got().stream().anyMatch(LinkBehindTest::isGap));
            await("the alarm", () -> active(engine, GatewayIndication.LINK_EVENTS_MISSED));
            StationEvent.Notice gap = far.got().stream()
                    .filter(LinkBehindTest::isGap)
                    .map(event -> (StationEvent.Notice) event.event())
                    .findFirst()
                    .orElseThrow();
            EventId firstMissed = EventId.parse(gap.text().split(" ")[1]);
            EventId lastMissed = EventId.parse(gap.text().split(" ")[3]);
            long had = far.got().stream()
                    .map(event -> event.event().id())
                    .filter(id -> id.sequence() < firstMissed.sequence() || id.sequence() > lastMissed.sequence())
                    .distinct()
                    .count();
            assertThat(had)
                    .as("with what the notice names, everything is accounted for")
                    .isEqualTo(engine.record().before(Long.MAX_VALUE, 1).get(0).position()
                            - (lastMissed.sequence() - firstMissed.sequence() + 1));
        }
        assertThat(RecordVerifier.verify(folder.resolve(EventRecord.FILE)).whole())
                .isTrue();
    }

    private static boolean isGap(RecordedEvent event) {
        return event.event() instanceof StationEvent.Notice notice
                && notice.kind() == StationEvent.Notice.Kind.EVENTS_MISSED;
    }

    private int comment(StationEngine engine, int count) {
        List<CompletableFuture<ActResult>> asked = new ArrayList<>();
        for (int i = 0; i < count; i++) {
            asked.add(engine.acts()
                    .act(new StationInput.Act(
                            StationFixture.alarm(i % 4),
                            new AlarmInput.Comment(OPERATOR, "x".repeat(200), null, clock.now()))));
        }
        asked.forEach(CompletableFuture::join);
        return count;
    }

    private static boolean active(StationEngine engine, GatewayIndication indication) {
        AlarmState state = Objects.requireNonNull(
                        Objects.requireNonNull(engine.writer().view())
                                .alarms()
                                .get(StationFixture.gatewayAlarm(indication)))
                .state();
        return state.active();
    }

    private static void await(String what, Callable<Boolean> until) {
        Awaitility.await(what)
                .atMost(Duration.ofSeconds(60))
                .pollInterval(Duration.ofMillis(20))
                .until(until);
    }
}
