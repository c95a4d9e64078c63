package oilbird.gateway.mqtt;

import java.time.Duration;

/**
 * How to reach a broker, and under which topics.
 *
 * @param id of the link in the station file.
 * @param topic root of all topics, without wildcards and without a slash at the end.
 * @param clientId at most 23 letters, digits, hyphens and underscores, so that every broker takes it (MQTT
 *     3.1.1, 3.1.3.1); never used by two clients at once.
 * @param patience how long to wait for the broker to answer a connect or a publish; at least 1 s.
 */
public record MqttLinkSettings(String id, String host, int port, String topic, String clientId, Duration patience) {
    public static final Duration DEFAULT_PATIENCE = Duration.ofSeconds(10);

    public MqttLinkSettings {
        if (patience.compareTo(Duration.ofSeconds(1)) < 0) {
            throw new IllegalArgumentException("patience is at least 1 s, not " + patience);
        }
    }
}
