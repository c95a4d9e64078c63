package oilbird.gateway.mqtt;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import io.vertx.core.Vertx;
import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.LongAdder;
import oilbird.gateway.mqtt.ScriptedBroker.Publish;
import oilbird.gateway.station.MqttLinkSettings;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;

/** One connection against a broker that confirms only when told to. */
class BrokerConnectionTest {
    private static final Duration PATIENCE = Duration.ofSeconds(10);
    private static Vertx vertx = Vertx.vertx();

    @BeforeAll
    static void start() {
        vertx = Vertx.vertx();
    }

    @AfterAll
    static void stop() throws Exception {
        vertx.close().toCompletionStage().toCompletableFuture().get(10, TimeUnit.SECONDS);
    }

    private static BrokerConnection connect(int port, Duration patience) throws IOException {
        return BrokerConnection.open(
                new MqttLinkSettings(
                        "control-room", "control room", "127.0.0.1", port, "oilbird/windlow", "windlow-gw1"),
                patience,
                vertx,
                "oilbird/windlow/gateway",
                bytes("gone"),
                new LongAdder());
    }

    private static byte[] bytes(String text) {
        return text.getBytes(StandardCharsets.UTF_8);
    }

    @Test
    void aPublishIsConfirmedByThePubackAndNotByHavingBeenWritten() throws Exception {
        try (ScriptedBroker broker = new ScriptedBroker(false)) {
            BrokerConnection connection = connect(broker.port(), PATIENCE);
            CompletableFuture<Void> first = connection.publish("a", bytes("1"), false);
            CompletableFuture<Void> second = connection.publish("a", bytes("2"), true);
            Publish firstSeen = broker.nextPublish();
            Publish secondSeen = broker.nextPublish();

            assertThat(firstSeen.payload()).isEqualTo("1");
            assertThat(firstSeen.qos()).isEqualTo(1);
            assertThat(firstSeen.retain()).isFalse();
            assertThat(secondSeen.retain()).isTrue();
            assertThat(first).as("the broker has it and has not said so").isNotDone();

            broker.confirm(secondSeen);
            second.get(10, TimeUnit.SECONDS);
            assertThat(first).as("the PUBACK of another packet").isNotDone();
            broker.confirm(firstSeen);
            first.get(10, TimeUnit.SECONDS);
            connection.close();
        }
    }

    @Test
    void aConnectionThatBreaksFailsWhatWasNotConfirmed() throws Exception {
        try (ScriptedBroker broker = new ScriptedBroker(false)) {
            BrokerConnection connection = connect(broker.port(), PATIENCE);
            CompletableFuture<Void> publish = connection.publish("a", bytes("1"), false);
            broker.nextPublish();
            broker.dropConnections();

            assertThatThrownBy(() -> publish.get(10, TimeUnit.SECONDS)).hasRootCauseInstanceOf(IOException.class);
            assertThatThrownBy(() -> connection.publish("a", bytes("2"), false).get(10, TimeUnit.SECONDS))
                    .as("and nothing more goes out on it")
                    .hasRootCauseInstanceOf(IOException.class);
            connection.close();
        }
    }

    @Test
    void aBrokerThatNeverConfirmsFailsThePublishWithinThePatience() throws Exception {
        try (ScriptedBroker broker = new ScriptedBroker(false)) {
            BrokerConnection connection = connect(broker.port(), Duration.ofSeconds(1));
            CompletableFuture<Void> publish = connection.publish("a", bytes("1"), false);

            assertThatThrownBy(() -> publish.get(10, TimeUnit.SECONDS)).hasStackTraceContaining("within 1 s");
            connection.close();
        }
    }

    @Test
    void aBrokerThatIsNotThereFailsTheOpeningAndNamesItself() throws Exception {
        int port;
        try (ServerSocket free = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            port = free.getLocalPort();
        }
        assertThatThrownBy(() -> connect(port, PATIENCE))
                .isInstanceOf(IOException.class)
                .hasMessageContaining("127.0.0.1:" + port);
    }

    @Test
    void aBrokerThatTakesTheConnectionAndSaysNothingFailsTheOpeningWithinThePatience() throws Exception {
        try (ServerSocket silent = new ServerSocket(0, 5, InetAddress.getLoopbackAddress())) {
            assertThatThrownBy(() -> connect(silent.getLocalPort(), Duration.ofSeconds(1)))
                    .isInstanceOf(IOException.class)
                    .hasMessageContaining("no answer within");
        }
    }

    /** MQTT 3.1.1, 3.1.2.3: connect flags; will flag, will QoS 1, will retain, clean session. */
    @Test
    void theLastWillGoesWithTheConnect() throws Exception {
        try (ScriptedBroker broker = new ScriptedBroker(true)) {
            BrokerConnection connection = connect(broker.port(), PATIENCE);
            byte[] packet = broker.connectPacket();
            connection.close();

            int flags = packet[7] & 0xFF;
            assertThat(flags).isEqualTo(0b0010_1110);
            assertThat(new String(packet, StandardCharsets.UTF_8))
                    .contains("windlow-gw1")
                    .contains("oilbird/windlow/gateway")
                    .contains("gone");
        }
    }
}
