package oilbird.gateway.app;

import io.quarkus.test.common.QuarkusTestResourceLifecycleManager;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.ServerSocket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.regex.Pattern;
import java.util.stream.Stream;

/** The demo station with nobody behind any port: every device stays silent, and a communication alarm says so. */
public class SilentStation implements QuarkusTestResourceLifecycleManager {
    private static final Pattern CARRIES_TRAFFIC =
            Pattern.compile("(?m)^  - \\{.*kind: (network-switch|serial-line|modbus-gateway),.*\n");

    private static final Path DEMO = Path.of("../../deploy/demo-station");

    @Override
    public Map<String, String> start() {
        try {
            Path folder = Files.createTempDirectory(Files.createDirectories(Path.of("target")), "silent-station-");
            try (Stream<Path> files = Files.walk(DEMO)) {
                for (Path file : files.filter(Files::isRegularFile).toList()) {
                    Path target = folder.resolve(DEMO.relativize(file).toString());
                    Files.createDirectories(target.getParent());
                    // Each device behind a port of its own and no switch before them: what shares one is alarmed as
                    // one.
                    Files.writeString(
                            target,
                            Pattern.compile("port: 15\\d{3}|127\\.0\\.0\\.1:15\\d{3}")
                                    .matcher(CARRIES_TRAFFIC
                                            .matcher(Files.readString(file))
                                            .replaceAll(""))
                                    .replaceAll(port -> port.group().replaceFirst("15\\d{3}", closedPort())));
                }
            }
            Path data = folder.resolve("data").toAbsolutePath();
            Map<String, String> settings = new LinkedHashMap<>(As.prepare(data));
            settings.put("oilbird.station", folder.toAbsolutePath().toString());
            settings.put("oilbird.data", data.toString());
            settings.put("quarkus.http.test-port", "0");
            return settings;
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private static String closedPort() {
        try (ServerSocket socket = new ServerSocket(0)) {
            return Integer.toString(socket.getLocalPort());
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    @Override
    public void stop() {}
}
