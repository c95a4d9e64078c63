package oilbird.gateway.station;

import java.time.Duration;

/**
 * A link to an MQTT broker as the station file defines it.
 *
 * @param topic root of all its topics, without wildcards.
 * @param clientId unique at the broker.
 * @param readingsEvery least time between two messages with the readings of one device; zero where readings are not
 *     sent.
 */
public record MqttLinkSettings(
        String id, String name, String host, int port, String topic, String clientId, Duration readingsEvery)
        implements LinkSettings {
    /** A link that sends no readings. */
    public MqttLinkSettings(String id, String name, String host, int port, String topic, String clientId) {
        this(id, name, host, port, topic, clientId, Duration.ZERO);
    }

    @Override
    public String kind() {
        return "mqtt";
    }
}
