package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.cert.CertificateFactory;
import java.security.cert.X509Certificate;
import java.time.Duration;
import java.util.concurrent.TimeUnit;
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
        Path station = folder.resolve("windlow");
        Files.createDirectories(station.resolve("maps"));
        Files.createDirectories(station.resolve("rules"));
        Files.createDirectories(folder.resolve("data/secrets"));
        Files.writeString(folder.resolve("data/secrets/moisture-t1"), MonitorServer.PASSWORD + "\n");
        Files.writeString(station.resolve("station.yaml"), """
                station: 1
                id: windlow
                name: Windlow substation
                gateway: {id: windlow-gw1, name: Oilbird gateway}
                assets:
                  - {id: t1, name: Transformer 1, kind: transformer}
                devices:
                  - id: moisture-t1
                    name: moisture monitor
                    asset: t1
                    map: mtm-2
                    opc_ua:
                      endpoint: %s
                      security: Basic256Sha256
                      user: {name: %s, password: {file: moisture-t1}}
                links: []
                """.formatted(url, MonitorServer.USER));
        Files.writeString(station.resolve("maps/mtm-2.yaml"), """
                device_map: 1
                name: mtm-2
                text: moisture monitor (invented)
                identification: {vendor: Someone (invented), product: MTM-2, firmware: ["3.*"]}
                opc_ua:
                  namespaces: {m: "urn:windlow:test-monitor"}
                poll_classes: {status: 300 ms}
                verified: {by: integrator (invented), on: 2026-03-02}
                points:
                  water: {text: water activity, node: m:s=Water, range: [0, 1]}
                  temperature: {text: oil temperature, node: m:s=Temperature, unit: degC, frozen_after: 2 s}
                words:
                  status: {text: status, node: m:s=Status, width: 16, bits: {0: probe-fault}}
                indications:
                  probe-fault: {text: probe fault}
                """);
        Files.writeString(station.resolve("rules/moisture.yaml"), """
                alarm_rules: 1
                text: Moisture monitors
                owner: Substation asset engineer (invented)
                rationalized: {by: Alarm review group (invented), on: 2026-09-14, revision: "1"}
                first_checks:
                  see-display:
                    exposure: 0
                    action: On the screen, look what else the monitor says of its probe.
                    outcomes: [{found: nothing else, means: "call the monitor technician"}]
                rules:
                  probe-fault:
                    for: {map: mtm-2}
                    when: {indication: probe-fault}
                    says: "the {device}'s probe has failed"
                    says_after: "the {device}'s probe works again"
                    class: instrument-diagnostic
                    priority: minor
                    causes: [probe, its cable]
                    confirm: the monitor's own display shows the same
                    consequence: Water in the oil is not seen.
                    response: Call the monitor technician.
                    respond_within: 1 d
                    call: monitor technician
                    first_checks: [see-display]
                """);
        return station;
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

    private String trust(String... words) throws Exception {
        String[] command = new String[words.length + 3];
        command[0] = GatewayProcess.root().resolve("deploy/oilbird").toString();
        command[1] = "trust";
        command[2] = folder.resolve("data").toString();
        System.arraycopy(words, 0, command, 3, words.length);
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        String output = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(process.waitFor(120, TimeUnit.SECONDS)).isTrue();
        assertThat(process.exitValue()).as(output).isZero();
        return output;
    }

    private static DataValue value(double value, long status) {
        return new DataValue(new Variant(value), new StatusCode(status), DateTime.now());
    }

    @Test
    void aMonitorOverOpcUaIsTrustedFollowedLostAndFoundAgain() throws Exception {
        int port = MonitorServer.freePort();
        MonitorServer monitor = new MonitorServer(Setup.secured(SecurityPolicy.Basic256Sha256), port);
        try (GatewayProcess gateway = GatewayProcess.start(station(monitor.url()), folder.resolve("data"))) {
            gateway.awaitReady();

            // Nobody trusts anybody yet.
            JsonNode unknown = awaitReading(
                    gateway, "water", r -> r.path("reason").asText().equals("unreachable"));
            assertThat(unknown.path("quality").asText()).isEqualTo("bad");
            assertThat(unknown.has("value")).isFalse();
            String listed = trust();
            assertThat(listed).contains("rejected:", "CN=test monitor");
            String thumbprint = listed.lines()
                    .filter(line -> line.contains("CN=test monitor"))
                    .findFirst()
                    .orElseThrow()
                    .strip()
                    .split(" ")[0];
            assertThat(trust("accept", thumbprint)).contains("trusted");
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
