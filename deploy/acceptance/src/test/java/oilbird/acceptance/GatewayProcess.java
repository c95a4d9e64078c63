package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;

import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.Cookie;
import com.microsoft.playwright.options.SameSiteAttribute;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.Socket;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.Callable;
import java.util.concurrent.TimeUnit;
import org.awaitility.Awaitility;

/** The packaged gateway, started as a process of its own. */
final class GatewayProcess implements AutoCloseable {
    private static final HttpClient HTTP =
            HttpClient.newBuilder().connectTimeout(Duration.ofSeconds(2)).build();

    /** The one user of the tests, who may do all that the pages offer but release keep-away. */
    static final String USER = "k.operator";

    /** The program that most tests are. */
    static final String PROGRAM = "tests";

    private static final String PASSWORD = "tests have long passwords";
    private static final String TOKEN = "tests-token.txt";
    private static final String EVERYTHING =
            "view,see-access,acknowledge,confirm,comment,shelve,reset,suppress,take-out-of-service,disable,maintain,test-points,"
                    + "release-connection,release-keep-away,enter-samples,load-rules,find-faults";

    private final Process process;
    private final Path log;
    private final int port;
    private final String token;

    private GatewayProcess(Process process, Path log, int port, String token) {
        this.token = token;
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
        Files.createDirectories(data);
        return start(station, data, wrapper, prepare(data), true);
    }

    /** A gateway whose clock runs faster than the machine's. */
    static GatewayProcess startFast(Path station, Path data, int rate) throws IOException {
        Files.createDirectories(data);
        return start(station, data, List.of("env", "OILBIRD_CLOCK_RATE=" + rate), prepare(data), true);
    }

    /** A gateway to whose data folder nobody has added a user for the tests. */
    static GatewayProcess startNew(Path station, Path data, boolean plainHttp) throws IOException {
        Files.createDirectories(data);
        return start(station, data, List.of(), "", plainHttp);
    }

    private static GatewayProcess start(Path station, Path data, List<String> wrapper, String token, boolean plainHttp)
            throws IOException {
        int port = Monitor.freePort();
        Path log = Files.createTempFile(data.getParent(), "gateway-", ".log");
        List<String> command = new ArrayList<>(wrapper);
        command.addAll(List.of(
                java().toString(),
                "-Doilbird.station=" + station,
                "-Doilbird.data=" + data,
                "-Doilbird.plain-http=" + plainHttp,
                "-Dquarkus.http.port=" + port,
                "-jar",
                root().resolve("gateway/app/target/quarkus-app/quarkus-run.jar").toString()));
        Process process = new ProcessBuilder(command)
                .redirectErrorStream(true)
                .redirectOutput(log.toFile())
                .start();
        return new GatewayProcess(process, log, port, token);
    }

    /** Makes the user and the token in a data folder that has none, with the commands that an integrator uses. */
    private static String prepare(Path data) throws IOException {
        Path kept = data.resolveSibling(data.getFileName() + "-" + TOKEN);
        if (Files.exists(kept)) {
            return Files.readString(kept);
        }
        command(PASSWORD, "user", data.toString(), "add", USER, "installer");
        String token = command("", "user", data.toString(), "token", "add", PROGRAM, "--may", EVERYTHING)
                .lines()
                .filter(line -> line.startsWith("    "))
                .findFirst()
                .orElseThrow()
                .strip();
        Files.writeString(kept, token);
        return token;
    }

    /** What a command about users or the certificate prints; it must do it. */
    static String command(String input, String... words) throws IOException {
        Path app = root().resolve("gateway/app/target/quarkus-app");
        List<String> command = new ArrayList<>(List.of(
                java().toString(),
                "-cp",
                app + "/app/*:" + app + "/lib/main/*:" + app + "/lib/boot/*",
                "oilbird.gateway.access.command.Main"));
        command.addAll(List.of(words));
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        try (var in = process.getOutputStream()) {
            in.write((input + "\n").getBytes(StandardCharsets.UTF_8));
        }
        String printed = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        if (process.onExit().join().exitValue() != 0) {
            throw new IOException(String.join(" ", words) + ": " + printed);
        }
        return printed;
    }

    /** What {@code deploy/oilbird} prints; it must do it. */
    static String launcher(String... words) throws Exception {
        List<String> command =
                new ArrayList<>(List.of(root().resolve("deploy/oilbird").toString()));
        command.addAll(List.of(words));
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        String output = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(process.waitFor(120, TimeUnit.SECONDS)).isTrue();
        assertThat(process.exitValue()).as(output).isZero();
        return output;
    }

    static GatewayProcess start(Path station, Path data) throws IOException {
        return start(station, data, List.of());
    }

    /** Waits until the page answers. */
    GatewayProcess awaitReady() {
        return await("the page answers", () -> get("/").statusCode() == 200);
    }

    /** Waits until somebody takes connections on the port. */
    GatewayProcess awaitListening() {
        return await("the port is open", () -> {
            try (Socket open = new Socket("127.0.0.1", port)) {
                return open.isConnected();
            }
        });
    }

    /** A connection that fails is none yet. */
    private GatewayProcess await(String what, Callable<Boolean> there) {
        Awaitility.await(what + "; output so far: " + log)
                .atMost(Duration.ofSeconds(60))
                .pollInterval(Duration.ofMillis(50))
                .until(() -> {
                    if (!process.isAlive()) {
                        throw new IllegalStateException("the gateway ended: " + output());
                    }
                    try {
                        return there.call();
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

    /** Signs a browser in, as if its person had done so at the sign-in page. */
    Page signedIn(Page page) {
        return signedIn(page, USER, PASSWORD);
    }

    Page signedIn(Page page, String user, String password) {
        try {
            HttpResponse<String> answer = sendUnsigned(HttpRequest.newBuilder(uri("/api/v1/session"))
                    .header("Content-Type", "application/json")
                    .POST(HttpRequest.BodyPublishers.ofString(
                            "{\"name\":\"" + user + "\",\"password\":\"" + password + "\"}")));
            String cookie =
                    answer.headers().firstValue("Set-Cookie").orElseThrow().replaceAll(";.*", "");
            page.context()
                    .addCookies(List.of(new Cookie(
                                    cookie.substring(0, cookie.indexOf('=')), cookie.substring(cookie.indexOf('=') + 1))
                            .setUrl(uri("/").toString())
                            .setSameSite(SameSiteAttribute.STRICT)));
            return page;
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    static String password() {
        return PASSWORD;
    }

    String token() {
        return token;
    }

    private HttpResponse<String> send(HttpRequest.Builder request) throws IOException {
        return sendUnsigned(request.header("Authorization", "Bearer " + token));
    }

    static HttpResponse<String> sendUnsigned(HttpRequest.Builder request) throws IOException {
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
        process.onExit().orTimeout(20, TimeUnit.SECONDS).join();
    }

    int awaitExit(Duration limit) {
        return process.onExit()
                .orTimeout(limit.toMillis(), TimeUnit.MILLISECONDS)
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
