package oilbird.gateway.station;

import java.net.URI;
import java.net.URISyntaxException;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.station.StationModel.AcknowledgementOwner;
import oilbird.gateway.engine.record.RecordBound;
import oilbird.mapping.signal.Supply;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.SchemaCheck;
import oilbird.mapping.text.YamlDocument;
import oilbird.mapping.text.YamlList;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import org.jspecify.annotations.Nullable;

/**
 * What {@code station.yaml} alone says, references not yet resolved.
 *
 * @param gatewayId first part of every event id.
 * @param startUpHold zero for none.
 * @param features the section as it is: which points there are is known only with the maps.
 * @param manners by link.
 * @param points by link, of those that have points.
 */
record StationFile(
        String id,
        String name,
        String owner,
        String gatewayId,
        String gatewayName,
        AcknowledgementOwner acknowledgementOwner,
        Duration startUpHold,
        List<AssetEntry> assets,
        List<DeviceEntry> devices,
        List<SharedEntry> shared,
        YamlMapping features,
        List<LinkEntry> links,
        Map<String, LinkManner> manners,
        RecordBound record,
        Map<String, LinkPoints> points) {
    static final String FILE = "station.yaml";
    /** Asset and device id of the gateway itself. */
    static final String GATEWAY = "gateway";

    private static final SchemaCheck SCHEMA = SchemaCheck.of("/oilbird/schema/station-1.schema.json");
    private static final List<String> TRANSPORTS = List.of("modbus_tcp", "modbus_rtu", "opc_ua");
    private static final List<String> LINKS = List.of("mqtt", "opc_ua_server", "webhook");
    private static final int MODBUS_PORT = 502;
    private static final int MQTT_PORT = 1883;
    private static final Duration WEBHOOK_DEADLINE = Duration.ofSeconds(10);
    private static final Duration LEAST_READINGS_SPACING = Duration.ofSeconds(1);
    private static final List<String> LOOPBACK = List.of("127.0.0.1", "[::1]", "localhost");
    /** Messaging on TCP/IP Implementation Guide V1.0b, 4.4.1.2, for a device that is addressed directly. */
    private static final int DIRECT_UNIT = 255;

    /**
     * @param transformer null where nothing is to be computed of it.
     */
    record AssetEntry(
            String id, String name, String kind, @Nullable TransformerEntry transformer) {}

    /**
     * @param periods polling period by poll class, where it differs from the map's.
     */
    record DeviceEntry(
            String id,
            Position position,
            String name,
            String asset,
            Position assetPosition,
            String map,
            Position mapPosition,
            @Nullable Endpoint endpoint,
            Map<String, PeriodEntry> periods) {}

    /**
     * @param devices each with its place in the file.
     * @param points each as {@code device.point}, with its place in the file.
     */
    record SharedEntry(
            String id,
            String name,
            Shared.Kind kind,
            Position position,
            String asset,
            Position assetPosition,
            Map<String, Position> devices,
            Map<String, Position> points,
            @Nullable Supply nominal,
            Position nominalPosition) {
        /** Something without a nominal voltage. */
        SharedEntry(
                String id,
                String name,
                Shared.Kind kind,
                Position position,
                String asset,
                Position assetPosition,
                Map<String, Position> devices,
                Map<String, Position> points) {
            this(id, name, kind, position, asset, assetPosition, devices, points, null, position);
        }
    }

    /**
     * @param secretFile where the file says which file has the link's secret; null if it does not.
     */
    record LinkEntry(LinkSettings settings, @Nullable Position secretFile) {}

    record PeriodEntry(Duration period, Position position) {}

    static Loaded<StationFile> read(String text) {
        Problems problems = new Problems();
        @Nullable
        StationFile file = YamlDocument.read(FILE, text, problems)
                .map(root -> {
                    SCHEMA.check(root);
                    return of(root.asMapping(), problems);
                })
                .orElse(null);
        return problems.loaded(file);
    }

    private static StationFile of(YamlMapping root, Problems problems) {
        YamlMapping gateway = root.mapping("gateway");
        String stationId = root.text("id", "");
        List<AssetEntry> assets = new ArrayList<>();
        Ids assetIds = new Ids("asset", problems);
        for (YamlNode item : root.list("assets").items()) {
            YamlMapping asset = item.asMapping();
            assetIds.add(asset);
            assets.add(new AssetEntry(
                    asset.text("id", ""), asset.text("name", ""), asset.text("kind", ""), TransformerEntry.of(asset)));
        }
        Ids deviceIds = new Ids("device", problems);
        SerialLines lines = new SerialLines(problems);
        List<SharedEntry> shared = new ArrayList<>();
        for (YamlNode item : root.list("lines").items()) {
            YamlMapping line = item.asMapping();
            deviceIds.add(line);
            lines.add(line);
        }
        List<DeviceEntry> devices = new ArrayList<>();
        Map<String, Integer> sessions = new LinkedHashMap<>();
        for (YamlNode item : root.list("devices").items()) {
            YamlMapping device = item.asMapping();
            deviceIds.add(device);
            devices.add(device(device, lines, sessions));
        }
        for (YamlNode item : root.list("shared").items()) {
            YamlMapping entry = item.asMapping();
            // Indications of both stand side by side, so their owners' ids must differ.
            deviceIds.add(entry);
            shared.add(shared(entry));
        }
        shared.addAll(lines.shared(devices));
        shared.addAll(connections(devices, shared));
        List<LinkEntry> links = new ArrayList<>();
        Map<String, LinkManner> manners = new LinkedHashMap<>();
        Map<String, LinkPoints> points = new LinkedHashMap<>();
        Ids linkIds = new Ids("link", problems);
        for (YamlNode item : root.list("links").items()) {
            YamlMapping link = item.asMapping();
            linkIds.add(link);
            manners.put(link.text("id", ""), LinkManners.of(link, assets));
            LinkPoints ofLink = LinkPoints.of(link);
            if (ofLink != null) {
                points.put(link.text("id", ""), ofLink);
            }
            LinkEntry entry = link(link, gateway.text("id", ""), problems);
            if (entry != null) {
                links.add(entry);
            }
        }
        return new StationFile(
                stationId,
                root.text("name", stationId),
                root.text("owner", ""),
                gateway.text("id", ""),
                gateway.text("name", "Oilbird gateway"),
                root.text("acknowledgement", "here").equals("control-room")
                        ? AcknowledgementOwner.CONTROL_ROOM
                        : AcknowledgementOwner.GATEWAY,
                root.duration("start_up_hold", Duration.ZERO),
                assets,
                devices,
                shared,
                root.mapping("features"),
                links,
                manners,
                LinkManners.bound(root.mapping("record")),
                points);
    }

    private static DeviceEntry device(YamlMapping device, SerialLines lines, Map<String, Integer> sessions) {
        Map<String, PeriodEntry> periods = new LinkedHashMap<>();
        for (YamlMapping.Entry entry : device.mapping("poll").entries()) {
            periods.put(
                    entry.key(),
                    new PeriodEntry(entry.value().asDuration(), entry.value().position()));
        }
        return new DeviceEntry(
                device.text("id", ""),
                device.position(),
                device.text("name", ""),
                device.text("asset", ""),
                device.valuePosition("asset"),
                device.text("map", ""),
                device.valuePosition("map"),
                endpoint(device, lines, sessions),
                periods);
    }

    /** Null where the file does not say it, or not rightly, which has then been told. */
    private static @Nullable Endpoint endpoint(YamlMapping device, SerialLines lines, Map<String, Integer> sessions) {
        List<String> given = TRANSPORTS.stream().filter(device::has).toList();
        if (given.size() != 1) {
            device.error(
                    given.isEmpty()
                            ? "the device does not say where it answers"
                            : "the device answers in several places: " + String.join(", ", given),
                    "write one of " + String.join(", ", TRANSPORTS));
            return null;
        }
        YamlMapping at = device.mapping(given.get(0));
        return switch (given.get(0)) {
            case "modbus_rtu" -> lines.place(at);
            case "opc_ua" -> OpcUaReader.read(at);
            default -> modbusTcp(at, sessions);
        };
    }

    private static ModbusTcpEndpoint modbusTcp(YamlMapping modbus, Map<String, Integer> sessions) {
        String host = modbus.text("host", "");
        int port = (int) modbus.whole("port", MODBUS_PORT);
        int most = (int) modbus.whole("sessions", 1);
        Integer others = sessions.putIfAbsent(host + ":" + port, most);
        if (others != null && others != most) {
            Position at = modbus.has("sessions") ? modbus.valuePosition("sessions") : modbus.position();
            modbus.problems()
                    .error(
                            at,
                            "another device behind " + host + ":" + port + " says sessions: " + others + ", this one "
                                    + most,
                            "write the same for all devices behind it");
        }
        return new ModbusTcpEndpoint(
                host,
                port,
                (int) modbus.whole("unit", DIRECT_UNIT),
                modbus.duration("deadline", Duration.ofSeconds(1)),
                most);
    }

    /** What devices behind one host and port share, where the file does not say it itself. */
    private static List<SharedEntry> connections(List<DeviceEntry> devices, List<SharedEntry> said) {
        Map<String, Map<String, Position>> behind = new LinkedHashMap<>();
        for (DeviceEntry device : devices) {
            if (device.endpoint() instanceof ModbusTcpEndpoint tcp) {
                behind.computeIfAbsent(tcp.host() + ":" + tcp.port(), c -> new LinkedHashMap<>())
                        .put(device.id(), device.position());
            }
        }
        List<SharedEntry> connections = new ArrayList<>();
        behind.forEach((connection, sharing) -> {
            boolean alreadySaid = said.stream()
                    .anyMatch(s -> s.kind() == Shared.Kind.MODBUS_GATEWAY
                            && s.devices().keySet().containsAll(sharing.keySet()));
            if (sharing.size() > 1 && !alreadySaid) {
                Position at = sharing.values().iterator().next();
                connections.add(new SharedEntry(
                        "at-" + connection.toLowerCase(Locale.ROOT).replaceAll("[^a-z0-9]+", "-"),
                        "Modbus gateway at " + connection,
                        Shared.Kind.MODBUS_GATEWAY,
                        at,
                        GATEWAY,
                        at,
                        sharing,
                        Map.of()));
            }
        });
        return connections;
    }

    private static SharedEntry shared(YamlMapping shared) {
        return new SharedEntry(
                shared.text("id", ""),
                shared.text("name", ""),
                shared.choice("kind", Shared.Kind.NETWORK_SWITCH),
                shared.position(),
                shared.text("asset", GATEWAY),
                shared.valuePosition("asset"),
                placed(shared.list("devices")),
                placed(shared.list("points")),
                shared.has("nominal") ? nominal(shared.mapping("nominal")) : null,
                shared.keyPosition("nominal"));
    }

    private static @Nullable Supply nominal(YamlMapping node) {
        double volts = node.decimal("volts");
        return volts > 0 ? new Supply(node.choice("current", Supply.Current.class), volts, volts) : null;
    }

    private static Map<String, Position> placed(YamlList texts) {
        Map<String, Position> placed = new LinkedHashMap<>();
        texts.items().forEach(item -> placed.put(item.asText(), item.position()));
        return placed;
    }

    private static @Nullable LinkEntry link(YamlMapping link, String gatewayId, Problems problems) {
        String id = link.text("id", "");
        String name = link.text("name", id);
        List<String> kinds = LINKS.stream().filter(link::has).toList();
        if (kinds.size() != 1) {
            problems.error(
                    link.position(),
                    kinds.isEmpty()
                            ? "the link does not say what it is"
                            : "the link has both `" + String.join("` and `", kinds) + "`",
                    "write one of `" + String.join(":`, `", LINKS) + ":` in it");
            return null;
        }
        if (link.has("opc_ua_server")) {
            return new LinkEntry(OpcUaServerReader.read(id, name, link.mapping("opc_ua_server")), null);
        }
        if (link.has("webhook")) {
            return webhook(id, name, link.mapping("webhook"), problems);
        }
        YamlMapping mqtt = link.mapping("mqtt");
        return new LinkEntry(
                new MqttLinkSettings(
                        id,
                        name,
                        mqtt.text("host", ""),
                        (int) mqtt.whole("port", MQTT_PORT),
                        mqtt.text("topic", ""),
                        mqtt.text("client_id", gatewayId),
                        readingsEvery(mqtt, problems)),
                null);
    }

    private static Duration readingsEvery(YamlMapping mqtt, Problems problems) {
        Duration every = mqtt.duration("readings_every", Duration.ZERO);
        if (mqtt.has("readings_every") && every.compareTo(LEAST_READINGS_SPACING) < 0) {
            problems.error(
                    mqtt.valuePosition("readings_every"),
                    "readings of one device would be sent more often than once a second",
                    "write 1 s or more; leave `readings_every` out to send no readings");
        }
        return every;
    }

    private static @Nullable LinkEntry webhook(String id, String name, YamlMapping webhook, Problems problems) {
        URI url = url(webhook, problems);
        SecretSource secret = SecretReader.read(webhook, "secret");
        if (secret == null) {
            return null;
        }
        String certificates = webhook.textOrNull("trusted_certificates");
        return url == null
                ? null
                : new LinkEntry(
                        new WebhookLinkSettings(
                                id,
                                name,
                                url,
                                secret,
                                webhook.duration("deadline", WEBHOOK_DEADLINE),
                                certificates == null ? null : Path.of(certificates)),
                        secret.file() == null ? null : webhook.mapping("secret").valuePosition("file"));
    }

    private static @Nullable URI url(YamlMapping webhook, Problems problems) {
        String text = webhook.text("url", "");
        Position at = webhook.valuePosition("url");
        URI url;
        try {
            url = new URI(text);
        } catch (URISyntaxException e) {
            problems.error(at, "`" + text + "` is no URL: " + e.getReason(), "write https://HOST/PATH");
            return null;
        }
        if (url.getHost() == null || !List.of("https", "http").contains(String.valueOf(url.getScheme()))) {
            problems.error(at, "`" + text + "` is no URL of a web server", "write https://HOST/PATH");
            return null;
        }
        if (url.getUserInfo() != null || url.getFragment() != null) {
            problems.error(
                    at,
                    "a webhook's URL has neither user name, password nor fragment",
                    "write https://HOST/PATH; the signature says who is sending");
            return null;
        }
        if (url.getScheme().equals("http") && !LOOPBACK.contains(url.getHost())) {
            problems.warning(
                    at,
                    "whoever is on the way to " + url.getHost() + " can read the events",
                    "use https, unless the network is closed");
        }
        return url;
    }

    /** Ids of one kind, each given once and none of them taken by the gateway. */
    private static final class Ids {
        private final String kind;
        private final Problems problems;
        private final Map<String, Position> taken = new LinkedHashMap<>();

        Ids(String kind, Problems problems) {
            this.kind = kind;
            this.problems = problems;
            taken.put(GATEWAY, new Position(FILE, 0, 0));
        }

        void add(YamlMapping entry) {
            if (!entry.has("id")) {
                return;
            }
            String id = entry.text("id");
            Position at = entry.valuePosition("id");
            @Nullable Position first = taken.putIfAbsent(id, at);
            if (first != null) {
                problems.error(
                        at,
                        first.line() == 0
                                ? "the " + kind + " id `" + id + "` belongs to the gateway itself"
                                : "the " + kind + " id `" + id + "` is already given in line " + first.line(),
                        "give it an id of its own");
            }
        }
    }
}
