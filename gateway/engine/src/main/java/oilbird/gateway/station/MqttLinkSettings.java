package oilbird.gateway.station;

/**
 * A link to an MQTT broker as the station file defines it.
 *
 * @param topic root of all its topics, without wildcards.
 * @param clientId unique at the broker.
 */
public record MqttLinkSettings(String id, String name, String host, int port, String topic, String clientId)
        implements LinkSettings {}
