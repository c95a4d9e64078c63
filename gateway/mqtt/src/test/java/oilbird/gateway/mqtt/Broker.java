package oilbird.gateway.mqtt;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.moquette.broker.Server;
import io.moquette.broker.config.MemoryConfig;
import io.moquette.interception.AbstractInterceptHandler;
import io.moquette.interception.messages.InterceptPublishMessage;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Properties;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;
import org.awaitility.Awaitility;
import org.eclipse.paho.client.mqttv3.MqttClient;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;

/**
 * A real broker (moquette) that forgets everything when it stops, and a control room's client of another library
 * (Eclipse Paho).
 */
final class Broker implements AutoCloseable {
    record Arrival(String topic, boolean retained, JsonNode json) {
        String text(String key) {
            return json.path(key).asText();
        }
    }

    private static final ObjectMapper JSON = new ObjectMapper();

    private final int port;
    private final List<Arrival> taken = new ArrayList<>();
    private final List<Arrival> heard = new ArrayList<>();
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
        started.startServer(new MemoryConfig(settings), List.of(new Taken()));
        return started;
    }

    /** Notes what the broker takes, whether or not somebody is subscribed already. */
    private final class Taken extends AbstractInterceptHandler {
        @Override
        public String getID() {
            return "taken";
        }

        @Override
        public void onSessionLoopError(Throwable error) {
            throw new IllegalStateException(error);
        }

        @Override
        public void onPublish(InterceptPublishMessage message) {
            Arrival arrival = arrival(
                    message.getTopicName(),
                    message.isRetainFlag(),
                    message.getPayload().toString(StandardCharsets.UTF_8));
            synchronized (taken) {
                taken.add(arrival);
            }
            super.onPublish(message);
        }
    }

    private static Arrival arrival(String topic, boolean retained, String json) {
        try {
            return new Arrival(topic, retained, JSON.readTree(json));
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private MqttClient listen() throws MqttException {
        MqttClient listener =
                new MqttClient("tcp://127.0.0.1:" + port, MqttClient.generateClientId(), new MemoryPersistence());
        listener.connect();
        listener.subscribe("oilbird/#", 1, (topic, message) -> {
            Arrival arrival =
                    arrival(topic, message.isRetained(), new String(message.getPayload(), StandardCharsets.UTF_8));
            synchronized (heard) {
                heard.add(arrival);
            }
        });
        return listener;
    }

    /** What the broker has taken under a topic, in order. */
    List<Arrival> taken(String topicEnd) {
        synchronized (taken) {
            return taken.stream().filter(a -> a.topic().endsWith(topicEnd)).toList();
        }
    }

    /** What the control room's client was given under a topic, in order. */
    List<Arrival> heard(String topicEnd) {
        synchronized (heard) {
            return heard.stream().filter(a -> a.topic().endsWith(topicEnd)).toList();
        }
    }

    /** Waits until a client that subscribes only now is given a retained message that is as wanted. */
    void awaitRetained(String topic, Predicate<Arrival> wanted) {
        Awaitility.await("retained under " + topic)
                .atMost(Duration.ofSeconds(40))
                // Moquette now and then drops one of many clients that come and go; the next one asks again.
                .ignoreExceptionsInstanceOf(MqttException.class)
                .until(() -> retained(topic).stream().anyMatch(wanted));
    }

    private List<Arrival> retained(String topic) throws MqttException {
        BlockingQueue<Arrival> given = new LinkedBlockingQueue<>();
        MqttClient late =
                new MqttClient("tcp://127.0.0.1:" + port, MqttClient.generateClientId(), new MemoryPersistence());
        late.connect();
        try {
            late.subscribe(
                    topic,
                    1,
                    (name, message) -> given.add(arrival(
                            name, message.isRetained(), new String(message.getPayload(), StandardCharsets.UTF_8))));
            Arrival first = given.poll(2, TimeUnit.SECONDS);
            // Moquette 0.17 gives retained messages without the retain flag, so their coming at once must do.
            return first == null ? List.of() : List.of(first);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            return List.of();
        } finally {
            late.disconnectForcibly(1, 1, false);
            late.close(true);
        }
    }

    @Override
    public void close() throws MqttException {
        stop();
    }
}
