package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import oilbird.acceptance.ControlRoom.Arrival;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The plug is pulled, again and again, while alarms come and go. */
class KillNineIT {
    private static final Duration SOON = Duration.ofSeconds(30);
    private static final int KILLS = Integer.getInteger("oilbird.kills", 5);

    @TempDir
    Path folder;

    @Test
    void theSameAlarmAndOccurrenceComeBackAndTheLinkGetsWhatItHadNotConfirmed() throws Exception {
        try (Monitor monitor = TestStation.healthyGasMonitor();
                ControlRoom room = new ControlRoom()) {
            Path station = TestStation.write(folder.resolve("station"), room.port(), List.of(monitor.port()));
            Path data = folder.resolve("data");
            String alarm;
            long occurrence;
            try (GatewayProcess gateway = GatewayProcess.start(station, data)) {
                gateway.awaitReady();
                monitor.setInputRegister(0, TestStation.FAN_STOPPED);
                Arrival raised = room.awaitEvent(
                        "the raised event",
                        SOON,
                        a -> FirstLineIT.isFan(a) && a.text("kind").equals("raised"));
                alarm = raised.text("alarm");
                occurrence = raised.json().path("occurrence").asLong();
                room.stop();
                String comment = "{\"by\":\"A. Tester\",\"comment\":\"seen, control room link is down\"}";
                assertThat(gateway.post("/api/v1/alarms/" + alarm + "/comment", comment)
                                .statusCode())
                        .isBetween(200, 299);
                gateway.kill9();
            }
            room.startAgain();
            try (GatewayProcess gateway = GatewayProcess.start(station, data)) {
                gateway.awaitReady();
                Arrival commented = room.awaitEvent(
                        "the event that the link had not confirmed",
                        SOON,
                        a -> a.text("alarm").equals(alarm) && a.text("kind").equals("commented"));
                assertThat(commented.json().path("occurrence").asLong()).isEqualTo(occurrence);

                var state = gateway.get("/api/v1/alarms/" + alarm);
                assertThat(state.statusCode()).isEqualTo(200);
                assertThat(state.body())
                        .contains("\"occurrence\":" + occurrence)
                        .contains("UNACK");
                assertThat(room.events())
                        .filteredOn(a -> a.text("alarm").equals(alarm)
                                && a.text("kind").equals("raised")
                                && a.json().path("occurrence").asLong() != occurrence)
                        .isEmpty();
            }
        }
    }

    @Test
    void noEventIdComesTwiceForTwoFactsAndNoAnnouncedEventIsMissingFromTheRecord() throws Exception {
        try (Monitor monitor = TestStation.healthyGasMonitor();
                ControlRoom room = new ControlRoom()) {
            Path station = TestStation.write(folder.resolve("station"), room.port(), List.of(monitor.port()));
            Path data = folder.resolve("data");
            for (int kill = 0; kill < KILLS; kill++) {
                try (GatewayProcess gateway = GatewayProcess.start(station, data)) {
                    gateway.awaitReady();
                    long before = fanEvents(room);
                    monitor.setInputRegister(0, kill % 2 == 0 ? TestStation.FAN_STOPPED : TestStation.HEALTHY);
                    room.awaitEvent("the fan's event of run " + kill, SOON, a -> fanEvents(room) > before);
                    gateway.kill9();
                }
            }
            try (GatewayProcess gateway = GatewayProcess.start(station, data)) {
                gateway.awaitReady();
                String record = gateway.get("/api/v1/record?limit=1000").body();
                List<Arrival> events = new ArrayList<>(room.events());
                LinkedHashSet<String> ids = new LinkedHashSet<>();
                for (Arrival event : events) {
                    String id = event.text("eventId");
                    assertThat(record).as("announced event " + id).contains('"' + id + '"');
                    if (!ids.add(id)) {
                        assertThat(events)
                                .filteredOn(e -> e.text("eventId").equals(id))
                                .as("an id that comes again is the same fact again")
                                .extracting(e -> e.text("alarm") + e.text("kind") + e.text("at"))
                                .containsOnly(event.text("alarm") + event.text("kind") + event.text("at"));
                    }
                }
                assertThat(ids).hasSizeGreaterThanOrEqualTo(KILLS);
            }
        }
    }

    /** Events, not arrivals: what was not confirmed before a kill comes again after it. */
    private static long fanEvents(ControlRoom room) {
        return room.events().stream()
                .filter(FirstLineIT::isFan)
                .map(event -> event.text("eventId"))
                .distinct()
                .count();
    }
}
