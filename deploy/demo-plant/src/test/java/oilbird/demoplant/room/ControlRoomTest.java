package oilbird.demoplant.room;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import org.eclipse.paho.client.mqttv3.MqttClient;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

class ControlRoomTest {
    private static final String RAISED = """
            {"form": "oilbird.alarm-event/1", "station": "windlow", "eventId": "gw.1.7", "kind": "raised",
             "alarm": "T1/gas-t1.oil-flow-low", "assetName": "Transformer 1", "annunciate": "start", "priority": "high",
             "sentence": "No oil flows through the gas monitor of transformer 1.",
             "trust": "Its gas readings cannot be trusted.", "call": "monitor technician", "within": "PT8H30M",
             "firstChecks": [
              {"do": "Look at the valves", "exposure": 1, "exposureText": "look from outside",
               "cautions": [{"id": "S01", "text": "Stay outside the danger zone."}]},
              {"do": "Compare the valves with their tags", "exposure": 1, "exposureText": "look from outside",
               "cautions": []}],
             "at": "2026-03-01T10:15:30.000Z"}""";

    private final LinkedBlockingQueue<String> told = new LinkedBlockingQueue<>();
    private final List<String> heard = new CopyOnWriteArrayList<>();
    private Broker broker;
    private ControlRoom room;
    private MqttClient gateway;

    @BeforeEach
    void start() throws Exception {
        broker = Broker.start(0);
        room = ControlRoom.open(
                broker.port(), told::add, (alarm, sounds) -> heard.add(alarm + (sounds ? " sounds" : "")));
        gateway = new MqttClient("tcp://127.0.0.1:" + broker.port(), "gateway", new MemoryPersistence());
        gateway.connect();
    }

    @AfterEach
    void stop() throws Exception {
        gateway.disconnect();
        gateway.close();
        room.close();
        broker.close();
    }

    @Test
    void anAlarmIsToldInWordsWithItsFirstCheckOnALineOfItsOwn() throws Exception {
        publish(RAISED);
        assertThat(next().lines())
                .anyMatch(line -> line.contains("ALARM, priority high  Transformer 1"))
                .contains(
                        "No oil flows through the gas monitor of transformer 1.",
                        "Its gas readings cannot be trusted.",
                        "Call: monitor technician, within 8 h 30 min",
                        "First check: Look at the valves (look from outside)",
                        "  Caution: Stay outside the danger zone.",
                        "More checks on the page: 1");
        assertThat(room.tally()).isEqualTo(new ControlRoom.Tally(1, 0, 0, 0));
        assertThat(heard).containsExactly("T1/gas-t1.oil-flow-low sounds");
    }

    @Test
    void whatTheSentenceAlreadySaysIsNotSaidAgain() throws Exception {
        publish(RAISED.replace(
                "No oil flows through",
                "Its gas readings cannot be trusted. Call the monitor technician. No oil flows through"));
        assertThat(next())
                .containsOnlyOnce("Its gas readings cannot be trusted.")
                .doesNotContain("Call: ");
    }

    @Test
    void aKeepAwayIsToldAndHeardOnce() throws Exception {
        String raised = """
                {"form": "oilbird.keep-away-event/1", "station": "windlow", "eventId": "gw.1.9", "kind": "raised",
                 "asset": "t3", "text": "Keep away from Transformer 3 until the control room releases it."}""";
        for (int i = 0; i < 2; i++) {
            gateway.publish("oilbird/windlow/keep-away", raised.getBytes(StandardCharsets.UTF_8), 1, false);
        }
        gateway.publish(
                "oilbird/windlow/keep-away",
                raised.replace("gw.1.9", "gw.1.10")
                        .replace("raised", "released")
                        .getBytes(StandardCharsets.UTF_8),
                1,
                false);
        assertThat(next()).contains("KEEP AWAY  [t3]", "Keep away from Transformer 3 until");
        assertThat(next()).contains("KEEP-AWAY RELEASED  [t3]");
        assertThat(heard).containsExactly("keep-away t3 sounds", "keep-away t3");
    }

    @Test
    void aRepeatedEventIsToldOnceAndAnAlarmThatComesAgainCountsOnce() throws Exception {
        publish(RAISED);
        publish(RAISED);
        publish(RAISED.replace("gw.1.7", "gw.1.9"));
        publish(RAISED.replace("gw.1.7", "gw.1.10")
                .replace("\"raised\"", "\"returned\"")
                .replace("\"start\"", "\"change-form\""));
        assertThat(next()).contains("ALARM");
        assertThat(next()).contains("ALARM");
        assertThat(next()).contains("returned: No oil flows").doesNotContain("First check");
        assertThat(room.tally()).isEqualTo(new ControlRoom.Tally(1, 0, 1, 0));
    }

    @Test
    void anAlarmWithoutAFirstCheckIsNotCountedAsExplained() throws Exception {
        publish(RAISED.replaceAll("(?s)\"firstChecks\": \\[.*],", "\"firstChecks\": [],"));
        assertThat(next()).contains("ALARM").doesNotContain("First check");
        assertThat(room.tally()).isEqualTo(new ControlRoom.Tally(0, 1, 0, 0));
    }

    @Test
    void aMessageThatIsNoEventIsToldAndCounted() throws Exception {
        publish("{\"kind\": \"raised\"}");
        publish("half a mess");
        assertThat(next()).isEqualTo("control room: a message that is no alarm event: no \"eventId\"");
        assertThat(next()).startsWith("control room: a message that is no alarm event: not JSON");
        assertThat(room.tally()).isEqualTo(new ControlRoom.Tally(0, 0, 0, 2));
    }

    @Test
    void aLongExplanationPassesTheBroker() throws Exception {
        publish(RAISED.replace("Look at the valves", "Look at the valves ".repeat(2_000)));
        assertThat(next()).hasSizeGreaterThan(30_000);
    }

    private void publish(String json) throws Exception {
        gateway.publish("oilbird/windlow/event", json.getBytes(StandardCharsets.UTF_8), 1, false);
    }

    private String next() throws Exception {
        String text = told.poll(10, TimeUnit.SECONDS);
        assertThat(text).as("told within 10 s").isNotNull();
        return text;
    }
}
