package oilbird.acceptance;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.moquette.broker.Server;
import io.moquette.broker.config.MemoryConfig;
import java.io.IOException;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Properties;
import java.util.function.Predicate;
import java.util.logging.Level;
import java.util.logging.Logger;
import org.awaitility.Awaitility;
import org.eclipse.paho.client.mqttv3.MqttClient;
import org.eclipse.paho.client.mqttv3.MqttConnectOptions;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;

/** A real MQTT broker (moquette) and a client of another library (Eclipse Paho) that notes what arrives. */
final class ControlRoom implements AutoCloseable {
    /**
     * @param nanoTime when it arrived, by this process's monotonic clock.
     */
    record Arrival(String topic, boolean retained, JsonNode json, long nanoTime) {
        String text(String field) {
            return json.path(field).asText();
        }
    }

    private static final ObjectMapper JSON = new ObjectMapper();
    /** Held, so that its level is not forgotten: the broker logs every message. */
    private static final Logger MOQUETTE = Logger.getLogger("io.moquette");

    static {
        MOQUETTE.setLevel(Level.WARNING);
    }

    private final int port;
    private final List<Arrival> arrivals = new ArrayList<>();
    private Server broker;
    private MqttClient client;

    ControlRoom() throws Exception {
        port = Monitor.freePort();
        broker = startBroker();
        client = subscribe();
    }

    int port() {
        return port;
    }

    /** The broker goes down, as when the control room's server is restarted. */
    void stop() throws Exception {
        client.disconnectForcibly(1, 1, false);
        client.close(true);
        broker.stopServer();
    }

    void startAgain() throws Exception {
        broker = startBroker();
        client = subscribe();
    }

    private Server startBroker() throws IOException {
        Properties settings = new Properties();
        settings.setProperty("host", "127.0.0.1");
        settings.setProperty("port", Integer.toString(port));
        settings.setProperty("allow_anonymous", "true");
        // Moquette's own default of 8092 bytes ends the connection of whoever sends more.
        settings.setProperty("netty.mqtt.message_size", "1000000");
        settings.setProperty("persistence_enabled", "false");
        settings.setProperty("telemetry_enabled", "false");
        Server server = new Server();
        server.startServer(new MemoryConfig(settings));
        return server;
    }

    private MqttClient subscribe() throws MqttException {
        MqttClient subscriber =
                new MqttClient("tcp://127.0.0.1:" + port, MqttClient.generateClientId(), new MemoryPersistence());
        MqttConnectOptions options = new MqttConnectOptions();
        options.setCleanSession(true);
        subscriber.connect(options);
        subscriber.subscribe("#", 1, (topic, message) -> {
            long now = System.nanoTime();
            if (message.getPayload().length == 0) {
                return;
            }
            JsonNode json = JSON.readTree(message.getPayload());
            synchronized (arrivals) {
                arrivals.add(new Arrival(topic, message.isRetained(), json, now));
            }
        });
        return subscriber;
    }

    List<Arrival> arrivals() {
        synchronized (arrivals) {
            return List.copyOf(arrivals);
        }
    }

    /** Everything that arrived on an event topic, in order. */
    List<Arrival> events() {
        return arrivals().stream().filter(a -> a.topic().endsWith("/event")).toList();
    }

    Arrival awaitEvent(String what, Duration limit, Predicate<Arrival> wanted) {
        return Awaitility.await(what)
                .atMost(limit)
                .pollInterval(Duration.ofMillis(20))
                .until(() -> events().stream().filter(wanted).findFirst().orElse(null), found -> found != null);
    }

    @Override
    public void close() throws Exception {
        stop();
    }
}
