package oilbird.gateway.station;

/** A link as the station file defines it. */
public sealed interface LinkSettings permits MqttLinkSettings, OpcUaServerLinkSettings, WebhookLinkSettings {
    /** Never reused: its place in the event record is kept under it. */
    String id();

    /** Name for people. */
    String name();

    /** What kind of link it is, as the interface for programs has it. */
    String kind();
}
