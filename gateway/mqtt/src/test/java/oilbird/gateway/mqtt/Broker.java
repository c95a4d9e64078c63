package oilbird.gateway.mqtt;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.moquette.broker.Server;
import io.moquette.broker.config.MemoryConfig;
import java.io.IOException;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Properties;
import org.awaitility.Awaitility;
import org.eclipse.paho.client.mqttv3.MqttClient;
import org.eclipse.paho.client.mqttv3.MqttConnectOptions;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;

/**
 * A real broker (moquette) that forgets everything when it stops, and a control room's client of another library
 * (Eclipse Paho) that notes what arrives.
 */
final class Broker implements AutoCloseable {
    record Arrival(String topic, boolean retained, JsonNode json) {
        String text(String key) {
            return json.path(key).asText();
        }
    }

    private static final ObjectMapper JSON = new ObjectMapper();

    private final int port;
    private final List<Arrival> arrivals = new ArrayList<>();
    private Server server;
    private MqttClient client;

    Broker() throws Exception {
        try (ServerSocket free = new ServerSocket(0)) {
            port = free.getLocalPort();
        }
        server = start();
        client = listen();
    }

    int port() {
        return port;
    }

    void stop() throws MqttException {
        client.disconnectForcibly(1, 1, false);
        client.close(true);
        server.stopServer();
    }

    void startAgain() throws Exception {
        server = start();
        client = listen();
    }

    private Server start() throws IOException {
        Properties settings = new Properties();
        settings.setProperty("host", "127.0.0.1");
        settings.setProperty("port", Integer.toString(port));
        settings.setProperty("allow_anonymous", "true");
        settings.setProperty("persistence_enabled", "false");
        settings.setProperty("telemetry_enabled", "false");
        settings.setProperty("netty.mqtt.message_size", "1000000");
        Server started = new Server();
        started.startServer(new MemoryConfig(settings));
        return started;
    }

    private MqttClient listen() throws MqttException {
        MqttClient listener =
                new MqttClient("tcp://127.0.0.1:" + port, MqttClient.generateClientId(), new MemoryPersistence());
        MqttConnectOptions options = new MqttConnectOptions();
        options.setCleanSession(true);
        listener.connect(options);
        listener.subscribe("#", 1, (topic, message) -> {
            JsonNode json = JSON.readTree(message.getPayload());
            synchronized (arrivals) {
                arrivals.add(new Arrival(topic, message.isRetained(), json));
            }
        });
        return listener;
    }

    List<Arrival> on(String topicEnd) {
        synchronized (arrivals) {
            return arrivals.stream().filter(a -> a.topic().endsWith(topicEnd)).toList();
        }
    }

    /** What a client that subscribes only now is given at once. */
    List<Arrival> retained() throws MqttException {
        List<Arrival> given = new ArrayList<>();
        MqttClient late =
                new MqttClient("tcp://127.0.0.1:" + port, MqttClient.generateClientId(), new MemoryPersistence());
        late.connect();
        late.subscribe("oilbird/#", 1, (topic, message) -> {
            JsonNode json = JSON.readTree(message.getPayload());
            synchronized (given) {
                given.add(new Arrival(topic, message.isRetained(), json));
            }
        });
        // Retained messages come before the answer to a later publish of one's own on the same connection.
        late.publish("oilbird/marker", "{}".getBytes(StandardCharsets.UTF_8), 1, false);
        Awaitility.await("the marker").until(() -> {
            synchronized (given) {
                return given.stream().anyMatch(a -> a.topic().equals("oilbird/marker"));
            }
        });
        late.disconnectForcibly(1, 1, false);
        late.close(true);
        synchronized (given) {
            return given.stream().filter(Arrival::retained).toList();
        }
    }

    @Override
    public void close() throws MqttException {
        stop();
    }
}
