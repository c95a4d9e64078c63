package oilbird.acceptance;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import org.awaitility.Awaitility;

/** The packaged gateway, started as a process of its own. */
final class GatewayProcess implements AutoCloseable {
    private static final HttpClient HTTP =
            HttpClient.newBuilder().connectTimeout(Duration.ofSeconds(2)).build();

    private final Process process;
    private final Path log;
    private final int port;

    private GatewayProcess(Process process, Path log, int port) {
        this.process = process;
        this.log = log;
        this.port = port;
    }

    static Path root() {
        return Path.of(System.getProperty("oilbird.root", "../.."))
                .toAbsolutePath()
                .normalize();
    }

    static Path java() {
        return Path.of(System.getProperty("java.home"), "bin", "java");
    }

    /**
     * @param wrapper words put before the command, for example {@code strace ...}; empty for none.
     */
    static GatewayProcess start(Path station, Path data, List<String> wrapper) throws IOException {
        int port = Monitor.freePort();
        Files.createDirectories(data);
        Path log = Files.createTempFile(data.getParent(), "gateway-", ".log");
        List<String> command = new ArrayList<>(wrapper);
        command.addAll(List.of(
                java().toString(),
                "-Doilbird.station=" + station,
                "-Doilbird.data=" + data,
                "-Dquarkus.http.port=" + port,
                "-jar",
                root().resolve("gateway/app/target/quarkus-app/quarkus-run.jar").toString()));
        Process process = new ProcessBuilder(command)
                .redirectErrorStream(true)
                .redirectOutput(log.toFile())
                .start();
        return new GatewayProcess(process, log, port);
    }

    static GatewayProcess start(Path station, Path data) throws IOException {
        return start(station, data, List.of());
    }

    /** Waits until the page answers. */
    GatewayProcess awaitReady() {
        Awaitility.await("the page answers; output so far: " + log)
                .atMost(Duration.ofSeconds(60))
                .pollInterval(Duration.ofMillis(50))
                .until(() -> {
                    if (!process.isAlive()) {
                        throw new IllegalStateException("the gateway ended: " + output());
                    }
                    try {
                        return get("/").statusCode() == 200;
                    } catch (IOException e) {
                        return false;
                    }
                });
        return this;
    }

    URI uri(String path) {
        return URI.create("http://127.0.0.1:" + port + path);
    }

    HttpResponse<String> get(String path) throws IOException {
        return send(HttpRequest.newBuilder(uri(path)).GET());
    }

    HttpResponse<String> post(String path, String json) throws IOException {
        return send(HttpRequest.newBuilder(uri(path))
                .header("Content-Type", "application/json")
                .POST(HttpRequest.BodyPublishers.ofString(json)));
    }

    private static HttpResponse<String> send(HttpRequest.Builder request) throws IOException {
        try {
            return HTTP.send(request.timeout(Duration.ofSeconds(5)).build(), HttpResponse.BodyHandlers.ofString());
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            throw new IOException(e);
        }
    }

    Process process() {
        return process;
    }

    String output() {
        try {
            return Files.readString(log);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    /** SIGKILL: nothing can be tidied up. */
    void kill9() {
        process.descendants().forEach(ProcessHandle::destroyForcibly);
        process.destroyForcibly();
        process.onExit().orTimeout(20, java.util.concurrent.TimeUnit.SECONDS).join();
    }

    int awaitExit(Duration limit) {
        return process.onExit()
                .orTimeout(limit.toMillis(), java.util.concurrent.TimeUnit.MILLISECONDS)
                .join()
                .exitValue();
    }

    @Override
    public void close() {
        kill9();
        if (Boolean.getBoolean("oilbird.show-log")) {
            System.out.println(output());
        }
    }
}
