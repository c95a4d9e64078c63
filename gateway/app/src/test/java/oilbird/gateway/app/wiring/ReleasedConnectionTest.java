package oilbird.gateway.app.wiring;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.DataInputStream;
import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.Callable;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.clock.FastTime;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.awaitility.Awaitility;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;

/**
 * A monitor that takes one connection, and a person who needs it: from the act to the socket, through the gateway as it
 * is wired. The gateway's clock runs sixty times as fast as the machine's.
 */
@Timeout(value = 120, unit = TimeUnit.SECONDS)
class ReleasedConnectionTest {
    private static final double RATE = 60;
    private static final Actor TECHNICIAN = new Actor("T. Technician", "page");
    private static final SignalId HUMIDITY = new SignalId("breather-t1", "humidity");

    @TempDir
    Path folder;

    private final Monitor monitor = new Monitor();
    private final List<StationEvent> events = new CopyOnWriteArrayList<>();
    private @Nullable Gateway gateway;

    /** Takes one connection at a time; a further one is hung up at once. */
    private static final class Monitor implements AutoCloseable {
        final ServerSocket listener;
        final AtomicInteger taken = new AtomicInteger();
        final AtomicInteger turnedAway = new AtomicInteger();
        volatile @Nullable Socket present;

        Monitor() {
            try {
                listener = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
            } catch (IOException e) {
                throw new IllegalStateException(e);
            }
            Thread accepting = new Thread(this::accept, "monitor of the test");
            accepting.setDaemon(true);
            accepting.start();
        }

        private void accept() {
            try {
                while (true) {
                    Socket next = listener.accept();
                    if (present != null) {
                        turnedAway.incrementAndGet();
                        next.close();
                        continue;
                    }
                    present = next;
                    taken.incrementAndGet();
                    Thread serving = new Thread(() -> serve(next), "a connection of the monitor");
                    serving.setDaemon(true);
                    serving.start();
                }
            } catch (IOException over) {
                // The test has ended.
            }
        }

        /** Every register is 500: MODBUS Application Protocol V1.1b3, 6.3, in the frames of Modbus TCP. */
        private void serve(Socket socket) {
            try (socket) {
                DataInputStream in = new DataInputStream(socket.getInputStream());
                byte[] request = new byte[12];
                while (true) {
                    in.readFully(request);
                    int count = request[11];
                    byte[] answer = new byte[9 + 2 * count];
                    System.arraycopy(request, 0, answer, 0, 8);
                    answer[5] = (byte) (3 + 2 * count);
                    answer[8] = (byte) (2 * count);
                    for (int i = 0; i < count; i++) {
                        answer[9 + 2 * i] = 500 >> 8;
                        answer[10 + 2 * i] = (byte) 500;
                    }
                    socket.getOutputStream().write(answer);
                }
            } catch (IOException gone) {
                present = null;
            }
        }

        @Override
        public void close() throws IOException {
            listener.close();
        }
    }

    @BeforeEach
    void aStationWithOneMonitor() throws IOException {
        Files.createDirectories(folder.resolve("station/maps"));
        Files.createDirectories(folder.resolve("station/rules"));
        Files.writeString(folder.resolve("station/maps/drb-6.yaml"), """
                device_map: 1
                name: drb-6
                text: breather (invented)
                poll_classes: {status: 5 s}
                points:
                  humidity: {text: humidity of the dried air, holding_register: 0, type: uint16, scale: 0.1, unit: "%", range: [0, 100]}
                """);
        Files.writeString(folder.resolve("station/rules/breathers.yaml"), """
                alarm_rules: 1
                rules:
                  no-answer:
                    for: {map: drb-6}
                    when: {communication: lost}
                    says: "the {device} does not answer"
                    class: communications
                    priority: warning
                """);
        Files.writeString(folder.resolve("station/station.yaml"), """
                station: 1
                id: thornbeck
                name: Thornbeck substation
                owner: Fenmarch Electric (invented)
                gateway: {id: thornbeck-gw1}
                assets:
                  - {id: t1, name: Transformer 1, kind: transformer}
                devices:
                  - {id: breather-t1, name: breather, asset: t1, map: drb-6, modbus_tcp: {host: 127.0.0.1, port: PORT}}
                """.replace(
                        "PORT", Integer.toString(monitor.listener.getLocalPort())));
        start();
    }

    private void start() {
        try {
            Station station =
                    StationFolder.load(folder.resolve("station")).result().orElseThrow();
            long now = System.currentTimeMillis();
            Gateway started = Gateway.start(
                    station,
                    new GatewaySettings(
                            folder.resolve("station"), folder.resolve("data"), true, new FastTime(RATE, now, now)));
            started.engine().writer().onCommitted(committed -> committed.forEach(e -> events.add(e.event())));
            gateway = started;
        } catch (Exception e) {
            throw new IllegalStateException(e);
        }
    }

    private Gateway gateway() {
        if (gateway == null) {
            throw new IllegalStateException("not started");
        }
        return gateway;
    }

    @AfterEach
    void end() throws IOException {
        gateway().close();
        monitor.close();
    }

    private static void await(String what, Callable<Boolean> holds) {
        Awaitility.await(what).atMost(Duration.ofSeconds(30)).until(holds);
    }

    private QualityReason reason() {
        StationView view = gateway().engine().writer().view();
        StationView.DeviceView device = view == null ? null : view.devices().get("breather-t1");
        return device == null
                ? QualityReason.NOT_YET_READ
                : device.readings().stream()
                        .map(trusted -> trusted.reading())
                        .filter(reading -> reading.id().equals(HUMIDITY))
                        .map(Reading::reason)
                        .findFirst()
                        .orElse(QualityReason.NOT_YET_READ);
    }

    private ActResult act(StationInput.Asked asked) throws Exception {
        return gateway().engine().acts().act(asked).get(30, TimeUnit.SECONDS);
    }

    private ActResult release(Duration time) throws Exception {
        return act(new StationInput.BeginRelease(
                "breather-t1",
                TECHNICIAN,
                "maker's laptop",
                time,
                gateway().clock().now()));
    }

    /** What somebody else's connection gets: true if it is answered, false if it is hung up. */
    private boolean laptopIsAnswered() throws IOException {
        try (Socket laptop = new Socket(InetAddress.getLoopbackAddress(), monitor.listener.getLocalPort())) {
            laptop.setSoTimeout(10_000);
            laptop.getOutputStream().write(new byte[] {0, 9, 0, 0, 0, 6, 1, 3, 0, 0, 0, 1});
            return laptop.getInputStream().readNBytes(11).length == 11;
        } catch (IOException hungUp) {
            return false;
        }
    }

    private List<String> notices(StationEvent.Notice.Kind kind) {
        return events.stream()
                .filter(event -> event instanceof StationEvent.Notice notice && notice.kind() == kind)
                .map(event -> ((StationEvent.Notice) event).text())
                .toList();
    }

    @Test
    void forSoManyMinutesTheConnectionIsSomebodyElsesAndThenTheGatewaysAgainWithoutAnAlarm() throws Exception {
        await("it is polled", () -> reason() == QualityReason.NONE);
        assertThat(laptopIsAnswered()).as("the gateway has the only connection").isFalse();

        assertThat(release(Duration.ofMinutes(4))).isInstanceOf(ActResult.Done.class);
        await("the connection is let go", () -> monitor.present == null);
        assertThat(laptopIsAnswered()).isTrue();
        await("its readings say why", () -> reason() == QualityReason.RELEASED);
        assertThat(QualityReason.RELEASED.quality()).isEqualTo(Quality.BAD);

        await(
                "the time is over",
                () -> !notices(StationEvent.Notice.Kind.RELEASE_ENDED).isEmpty());
        await("it is polled again", () -> reason() == QualityReason.NONE);
        assertThat(notices(StationEvent.Notice.Kind.RELEASE_BEGUN))
                .containsExactly("T. Technician (page): maker's laptop; not polled: breather-t1; for PT4M");
        assertThat(events).noneMatch(StationEvent.OfAlarm.class::isInstance);
    }

    @Test
    void aReleaseThatStandsWhenTheGatewayStartsIsKeptUntilItsEnd() throws Exception {
        await("it is polled", () -> reason() == QualityReason.NONE);
        assertThat(release(Duration.ofHours(8))).isInstanceOf(ActResult.Done.class);
        await("the connection is let go", () -> monitor.present == null);
        gateway().close();
        int before = monitor.taken.get();
        start();
        await("the gateway runs", () -> reason() == QualityReason.RELEASED);
        assertThat(laptopIsAnswered()).isTrue();
        assertThat(monitor.taken.get())
                .as("but for the laptop nobody has connected")
                .isEqualTo(before + 1);
        assertThat(monitor.turnedAway).hasValue(0);

        assertThat(act(new StationInput.EndRelease(
                        "breather-t1", TECHNICIAN, gateway().clock().now())))
                .isInstanceOf(ActResult.Done.class);
        await("it is polled again", () -> reason() == QualityReason.NONE);
    }
}
