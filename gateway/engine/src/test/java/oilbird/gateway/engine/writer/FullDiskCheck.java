package oilbird.gateway.engine.writer;

import static oilbird.gateway.engine.StationFixture.GATEWAY;
import static oilbird.gateway.engine.StationFixture.fans;
import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashSet;
import java.util.Set;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationEvent;
import oilbird.gateway.engine.StationFixture;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.RecordVerifier;
import oilbird.gateway.engine.record.RecordedEvent;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/**
 * A disk that is really full. Needs a small file system of its own, which only root can make, so it is not run with the
 * other tests: {@code mount -t tmpfs -o size=3m tmpfs /mnt/small}, then {@code mvn -pl gateway/engine -am test
 * -Dtest=FullDiskCheck -Dsurefire.failIfNoSpecifiedTests=false -DargLine=-Doilbird.small-disk=/mnt/small}. Everything
 * on that file system is deleted.
 */
@Timeout(300)
class FullDiskCheck {
    private static final String DISK = System.getProperty("oilbird.small-disk", "");
    private static final AlarmId NOT_WRITTEN = StationFixture.gatewayAlarm(GatewayIndication.RECORD_NOT_WRITTEN);

    private final GatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());
    private final Set<Object> ids = new HashSet<>();
    private final LinkedBlockingQueue<RecordedEvent> told = new LinkedBlockingQueue<>();

    @BeforeEach
    @AfterEach
    void emptyTheDisk() throws IOException {
        assertThat(DISK).as("oilbird.small-disk, the file system to fill").isNotEmpty();
        try (var files = Files.list(Path.of(DISK))) {
            for (Path file : files.toList()) {
                Files.delete(file);
            }
        }
    }

    private StationEngine start() throws Exception {
        StationEngine engine =
                StationEngine.open(StationFixture.model(20), GATEWAY, Path.of(DISK), clock, WriterSettings.DEFAULT);
        engine.writer().onCommitted(told::addAll);
        engine.start();
        return engine;
    }

    private RecordedEvent await(String what, Predicate<RecordedEvent> wanted) throws InterruptedException {
        while (true) {
            RecordedEvent next = told.poll(60, TimeUnit.SECONDS);
            assertThat(next).as(what).isNotNull();
            assertThat(ids.add(next.event().id())).as("%s told once", next).isTrue();
            if (wanted.test(next)) {
                return next;
            }
        }
    }

    private static Predicate<RecordedEvent> alarm(AlarmId id, AlarmEvent.Kind kind) {
        return recorded -> recorded.event() instanceof StationEvent.OfAlarm ofAlarm
                && ofAlarm.event().alarm().equals(id)
                && ofAlarm.event().kind() == kind;
    }

    private static Path fill() throws IOException {
        Path ballast = Path.of(DISK, "ballast");
        try (OutputStream out = Files.newOutputStream(ballast)) {
            byte[] block = new byte[512];
            while (true) {
                out.write(block);
            }
        } catch (IOException full) {
            return ballast;
        }
    }

    @Test
    void aFullDiskRaisesAnAlarmIsGoneOnWithOutlivesARestartAndIsCaughtUp() throws Exception {
        Path ballast;
        try (StationEngine engine = start()) {
            engine.inputs().offer(fans(20, 1, clock.now()));
            await("a first event", alarm(StationFixture.alarm(0), AlarmEvent.Kind.RAISED));
            ballast = fill();
            long toggle = 0;
            RecordedEvent raised = null;
            while (raised == null) {
                engine.inputs().offer(fans(20, toggle++ % 2 == 0 ? -1L : 0, clock.now()));
                RecordedEvent next = await("events", event -> true);
                if (alarm(NOT_WRITTEN, AlarmEvent.Kind.RAISED).test(next)) {
                    raised = next;
                }
            }
            assertThat(raised.recorded()).isFalse();
            assertThat(engine.writer().status().lastFailure()).containsAnyOf("SQLITE_FULL", "SQLITE_IOERR");
        }
        told.forEach(event -> ids.add(event.event().id()));
        told.clear();

        try (StationEngine engine = start()) {
            System.out.println(
                    "started on a full disk: " + engine.recovered().unavailable() + ", " + engine.incarnation());
            assertThat(engine.incarnation().durable()).isTrue();
            assertThat(engine.recovered().states())
                    .as("memories are read from a full disk")
                    .isNotEmpty();
            await(
                    "the alarm of the full disk",
                    alarm(NOT_WRITTEN, AlarmEvent.Kind.RAISED)
                            .or(event -> engine.writer().status().fromMemory()));
            engine.inputs().offer(fans(20, 0, clock.now()));
            engine.inputs().offer(fans(20, -1, clock.now()));
            await("an event from memory", alarm(StationFixture.alarm(3), AlarmEvent.Kind.RAISED));
            Files.delete(ballast);
            RecordedEvent over = await("the end of the alarm", alarm(NOT_WRITTEN, AlarmEvent.Kind.RETURNED));
            assertThat(over.recorded()).isTrue();
            assertThat(engine.writer().status().unwritten()).isZero();
            assertThat(engine.record().find(over.event().id())).isNotNull();
        }
        RecordVerifier.Verification verification = RecordVerifier.verify(Path.of(DISK, EventRecord.FILE));
        System.out.println(verification);
        assertThat(verification.whole()).isTrue();
    }
}
