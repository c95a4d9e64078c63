package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.stream.StreamSupport;
import oilbird.acceptance.ControlRoom.Arrival;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** From a bit on an independent Modbus server to an explained alarm at a real MQTT broker. */
class FirstLineIT {
    private static final Duration SOON = Duration.ofSeconds(20);

    @TempDir
    Path folder;

    @Test
    void aBitThatIsSetOnTheWireBecomesAnExplainedAlarmAtTheControlRoom() throws Exception {
        try (Monitor monitor = TestStation.healthyGasMonitor();
                ControlRoom room = new ControlRoom();
                GatewayProcess gateway = GatewayProcess.start(
                        TestStation.write(folder.resolve("station"), room.port(), List.of(monitor.port())),
                        folder.resolve("data"))) {
            gateway.awaitReady();
            monitor.setInputRegister(0, TestStation.FAN_STOPPED);

            Arrival raised = room.awaitEvent(
                    "the raised event", SOON, a -> isFan(a) && a.text("kind").equals("raised"));

            assertThat(raised.text("sentence")).contains("Transformer 1").contains("fan");
            assertThat(raised.text("trust")).isNotBlank();
            assertThat(raised.text("call")).isNotBlank();
            assertThat(raised.json().path("firstChecks")).isNotEmpty();
            assertThat(StreamSupport.stream(raised.json().path("firstChecks").spliterator(), false))
                    .allSatisfy(check -> {
                        assertThat(check.path("do").asText()).isNotBlank();
                        assertThat(check.path("exposure").asInt(-1)).isBetween(0, 4);
                    });

            monitor.setInputRegister(0, TestStation.HEALTHY);
            Arrival returned = room.awaitEvent(
                    "the returned event", SOON, a -> isFan(a) && a.text("kind").equals("returned"));
            assertThat(returned.json().path("occurrence").asLong())
                    .isEqualTo(raised.json().path("occurrence").asLong());
        }
    }

    @Test
    void aMonitorThatFallsSilentNeverClearsItsAlarmAndIsNamedItself() throws Exception {
        try (ControlRoom room = new ControlRoom()) {
            Monitor monitor = TestStation.healthyGasMonitor();
            try (GatewayProcess gateway = GatewayProcess.start(
                    TestStation.write(folder.resolve("station"), room.port(), List.of(monitor.port())),
                    folder.resolve("data"))) {
                gateway.awaitReady();
                monitor.setInputRegister(0, TestStation.FAN_STOPPED);
                room.awaitEvent(
                        "the raised event",
                        SOON,
                        a -> isFan(a) && a.text("kind").equals("raised"));

                monitor.close();
                room.awaitEvent(
                        "the communication alarm",
                        Duration.ofSeconds(40),
                        a -> a.text("alarm").contains("no-answer")
                                && a.text("kind").equals("raised"));

                assertThat(room.events())
                        .filteredOn(FirstLineIT::isFan)
                        .extracting(a -> a.text("kind"))
                        .doesNotContain("returned");
            } finally {
                monitor.close();
            }
        }
    }

    static boolean isFan(Arrival arrival) {
        return arrival.text("alarm").contains("fan");
    }
}
