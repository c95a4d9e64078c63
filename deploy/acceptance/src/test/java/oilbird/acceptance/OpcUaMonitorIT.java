package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.cert.CertificateFactory;
import java.security.cert.X509Certificate;
import java.time.Duration;
import java.util.function.Predicate;
import oilbird.gateway.opcua.MonitorServer;
import oilbird.gateway.opcua.MonitorServer.Setup;
import org.awaitility.Awaitility;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * The packaged gateway follows an OPC UA monitor through what happens to one in its life, and every reading has the right
 * quality each time. The monitor is made by the server side of an independent library.
 */
class OpcUaMonitorIT {
    private static final ObjectMapper JSON = new ObjectMapper();

    @TempDir
    Path folder;

    private Path station(String url) throws IOException {
        Files.createDirectories(folder.resolve("data/secrets"));
        Files.writeString(folder.resolve("data/secrets/moisture-t1"), MonitorServer.PASSWORD + "\n");
        return MoistureStation.write(
                folder.resolve("windlow"),
                "{endpoint: \"%s\", security: Basic256Sha256, user: {name: %s, password: {file: moisture-t1}}}"
                        .formatted(url, MonitorServer.USER),
                """
                water: {text: water activity, node: m:s=Water, range: [0, 1]}
                temperature: {text: oil temperature, node: m:s=Temperature, unit: degC, frozen_after: 2 s}
                """,
                "[]");
    }

    private static JsonNode json(GatewayProcess gateway, String path) {
        try {
            return JSON.readTree(gateway.get(path).body());
        } catch (IOException e) {
            return JSON.createObjectNode();
        }
    }

    private static JsonNode await(GatewayProcess gateway, String path, String what, Predicate<JsonNode> wanted) {
        return Awaitility.await(what)
                .atMost(Duration.ofSeconds(60))
                .pollInterval(Duration.ofMillis(50))
                .until(() -> json(gateway, path), wanted);
    }

    private static JsonNode awaitReading(GatewayProcess gateway, String point, Predicate<JsonNode> wanted) {
        return await(
                        gateway,
                        "/api/v1/readings/moisture-t1/" + point,
                        "the reading " + point,
                        form -> wanted.test(form.path("reading")))
                .path("reading");
    }

    private static boolean is(JsonNode reading, double value, String reason) {
        return reading.path("value").asDouble(-1) == value
                && reading.path("reason").asText().equals(reason);
    }

    private static DataValue value(double value, long status) {
        return new DataValue(new Variant(value), new StatusCode(status), DateTime.now());
    }

    @Test
    void aMonitorOverOpcUaIsTrustedFollowedLostAndFoundAgain() throws Exception {
        int port = MonitorServer.freePort();
        Path data = folder.resolve("data");
        MonitorServer monitor = new MonitorServer(Setup.secured(SecurityPolicy.Basic256Sha256), port);
        try (GatewayProcess gateway = GatewayProcess.start(station(monitor.url()), data)) {
            gateway.awaitReady();

            // Nobody trusts anybody yet.
            JsonNode unknown = awaitReading(
                    gateway, "water", r -> r.path("reason").asText().equals("unreachable"));
            assertThat(unknown.path("quality").asText()).isEqualTo("bad");
            assertThat(unknown.has("value")).isFalse();
            String listed = GatewayProcess.launcher("trust", data.toString());
            assertThat(listed).contains("rejected:", "CN=test monitor");
            String thumbprint = listed.lines()
                    .filter(line -> line.contains("CN=test monitor"))
                    .findFirst()
                    .orElseThrow()
                    .strip()
                    .split(" ")[0];
            assertThat(GatewayProcess.launcher("trust", data.toString(), "accept", thumbprint))
                    .contains("trusted");
            try (InputStream own = Files.newInputStream(folder.resolve("data/opc-ua/own.der"))) {
                monitor.trust((X509Certificate)
                        CertificateFactory.getInstance("X.509").generateCertificate(own));
            }
            JsonNode good = awaitReading(gateway, "water", r -> is(r, 0.25, "none"));
            assertThat(good.path("status").asText()).isEqualTo("Good");
            assertThat(good.path("sourceTime").asText()).isNotEmpty();

            // A value that must move and does not is stale, though the server answers.
            awaitReading(gateway, "temperature", r -> r.path("reason").asText().equals("stale"));
            monitor.set("Temperature", 41.5f);
            awaitReading(gateway, "temperature", r -> is(r, 41.5, "none"));

            // What the server itself says of a value is its quality.
            monitor.set("Water", value(0.5, StatusCodes.Uncertain_SensorNotAccurate));
            JsonNode uncertain = awaitReading(gateway, "water", r -> is(r, 0.5, "declared-uncertain"));
            assertThat(uncertain.path("status").asText()).isEqualTo("Uncertain_SensorNotAccurate");
            monitor.set("Water", value(0.75, StatusCodes.Bad_SensorFailure));
            JsonNode bad = awaitReading(
                    gateway, "water", r -> r.path("reason").asText().equals("declared-bad"));
            assertThat(bad.has("value")).isFalse();

            // A fault of the monitor is an alarm; losing the monitor does not end it.
            monitor.set("Status", UShort.valueOf(1));
            String alarm = "/api/v1/alarms/t1/moisture-t1.probe-fault";
            await(gateway, alarm, "the alarm", a -> a.path("active").asBoolean());
            monitor.close();
            awaitReading(gateway, "water", r -> r.path("reason").asText().equals("unreachable"));
            await(
                    gateway,
                    alarm,
                    "the alarm holds and its quality is bad",
                    a -> a.path("active").asBoolean()
                            && a.path("quality").asText().equals("bad"));

            // It comes back with its namespaces in another order, and the fault gone.
            monitor = new MonitorServer(
                    Setup.secured(SecurityPolicy.Basic256Sha256).withNamespacesBefore("urn:new:one"), port);
            try (InputStream own = Files.newInputStream(folder.resolve("data/opc-ua/own.der"))) {
                monitor.trust((X509Certificate)
                        CertificateFactory.getInstance("X.509").generateCertificate(own));
            }
            Files.write(
                    folder.resolve("data/opc-ua/trusted/new.der"),
                    monitor.certificate().getEncoded());
            monitor.set("Water", 0.125);
            awaitReading(gateway, "water", r -> is(r, 0.125, "none"));
            await(gateway, alarm, "the alarm ends", a -> !a.path("active").asBoolean(true));
        } finally {
            monitor.close();
        }
    }
}
