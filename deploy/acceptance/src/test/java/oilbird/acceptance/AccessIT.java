package oilbird.acceptance;

import static com.microsoft.playwright.assertions.PlaywrightAssertions.assertThat;
import static org.assertj.core.api.Assertions.assertThat;

import com.microsoft.playwright.Locator;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.ReducedMotion;
import java.io.IOException;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.security.KeyStore;
import java.security.cert.CertificateFactory;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import javax.net.ssl.SSLContext;
import javax.net.ssl.TrustManagerFactory;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The first start, signing in and out, https and the commands, with the packaged gateway and a real browser. */
class AccessIT {
    private static final String LONG = "fenland windmill seven";
    private static final Duration SOON = Duration.ofSeconds(60);

    @TempDir
    static Path folder = Path.of("");

    private static Path station = Path.of("");

    @BeforeAll
    static void aStation() throws Exception {
        try (ControlRoom room = new ControlRoom();
                Monitor monitor = TestStation.healthyGasMonitor()) {
            station = TestStation.write(folder.resolve("station"), room.port(), List.of(monitor.port()));
        }
    }

    private static String setUpCode(GatewayProcess gateway) {
        Pattern code = Pattern.compile("(?m)^    ((?:[A-Z2-9]{5}-){4}[A-Z2-9]{5})$");
        return Awaitility.await("the set-up code")
                .atMost(SOON)
                .until(
                        () -> {
                            Matcher found = code.matcher(gateway.output());
                            return found.find() ? found.group(1) : "";
                        },
                        found -> !found.isEmpty());
    }

    @Test
    void theFirstUserIsMadeWithThePrintedCodeAndSignsInAndOut() throws Exception {
        try (Browser browser = Browser.start();
                GatewayProcess gateway = GatewayProcess.startNew(station, folder.resolve("first-data"), true)) {
            String code = setUpCode(gateway);
            gateway.awaitListening();
            Page page = browser.page(390, 844);
            page.navigate(gateway.uri("/").toString());
            assertThat(page).hasURL(Pattern.compile(".*/sign-in\\.html$"));
            page.getByText("Make the first one").click();
            page.locator("[name=code]").fill("AAAAA-AAAAA-AAAAA-AAAAA-AAAAA");
            page.locator("[name=name]").fill("i.nstaller");
            page.locator("[name=password]").fill(LONG);
            page.locator("[name=again]").fill(LONG + "!");
            page.locator("button").click();
            assertThat(page.locator("#outcome")).hasText("The two passwords differ.");
            page.locator("[name=again]").fill(LONG);
            page.locator("button").click();
            assertThat(page.locator("#outcome")).hasText("Not done: the code does not fit.");
            assertThat(Accessibility.serious(page)).isEmpty();
            page.locator("[name=code]").fill(code.toLowerCase(java.util.Locale.ROOT));
            page.locator("button").click();
            assertThat(page.locator("#who")).containsText("Signed in: i.nstaller, installer");
            assertThat(page.locator("#link")).hasText("Live");
            assertThat(Accessibility.serious(page)).isEmpty();

            page.locator("#who button").click();
            assertThat(page).hasURL(Pattern.compile(".*/sign-in\\.html$"));
            page.navigate(gateway.uri("/tests.html").toString());
            assertThat(page).hasURL(Pattern.compile(".*/sign-in\\.html\\?to=tests\\.html$"));
            page.locator("[name=name]").fill("i.nstaller");
            page.locator("[name=password]").fill("not the password");
            page.locator("[name=password]").press("Enter");
            assertThat(page.locator("#outcome")).hasText("Not signed in: name and password do not fit.");
            page.locator("[name=password]").fill(LONG);
            page.locator("[name=password]").press("Enter");
            assertThat(page).hasURL(Pattern.compile(".*/tests\\.html$"));
            assertThat(page.evaluate("document.documentElement.scrollWidth")).isEqualTo(390);
            assertThat(page.evaluate("document.cookie"))
                    .as("no script sees the session")
                    .isEqualTo("");

            assertThat(gateway.output()).doesNotContain(LONG);
            assertThat(browser.complaints().stream().filter(c -> !c.contains("401")))
                    .isEmpty();
        }
    }

    @ParameterizedTest
    @CsvSource({"1280, LIGHT", "390, LIGHT", "390, DARK"})
    void axeFindsNothingSeriousOnTheEntryPages(int width, ColorScheme scheme) throws Exception {
        try (Browser browser = Browser.start();
                GatewayProcess gateway =
                        GatewayProcess.startNew(station, folder.resolve("entry-data-" + width + scheme), true)) {
            gateway.awaitListening();
            Page page = browser.page(width, 800, scheme, ReducedMotion.NO_PREFERENCE);
            for (String path : List.of("/sign-in.html", "/set-up.html")) {
                page.navigate(gateway.uri(path).toString());
                assertThat(page.locator("button")).isVisible();
                assertThat(Accessibility.serious(page)).as(path).isEmpty();
                assertThat((Boolean) page.evaluate(
                                "document.documentElement.scrollWidth <= document.documentElement.clientWidth"))
                        .isTrue();
                if (Boolean.getBoolean("oilbird.screenshots")) {
                    page.screenshot(new Page.ScreenshotOptions()
                            .setPath(Path.of("target", path.substring(1) + "-" + width + scheme + ".png")));
                }
            }
        }
    }

    @Test
    void whatOneMayNotDoIsNotOfferedAndASessionThatIsEndedSaysSo() throws Exception {
        Path data = Files.createDirectories(folder.resolve("viewer-data"));
        GatewayProcess.command(LONG, "user", data.toString(), "add", "v.iewer", "viewer");
        try (Browser browser = Browser.start();
                Monitor monitor = TestStation.healthyGasMonitor();
                ControlRoom room = new ControlRoom()) {
            Path alarming = TestStation.write(folder.resolve("alarming"), room.port(), List.of(monitor.port()));
            monitor.setInputRegister(0, TestStation.FAN_STOPPED);
            try (GatewayProcess gateway = GatewayProcess.startNew(alarming, data, true)) {
                gateway.awaitListening();
                Page page = browser.page(1280, 800);
                page.navigate(gateway.uri("/").toString());
                page.locator("[name=name]").fill("V.iewer");
                page.locator("[name=password]").fill(LONG);
                page.locator("button").click();
                Locator row = page.locator("#needs > li").first();
                assertThat(row.locator(".headline")).isVisible();
                assertThat(row.locator(".acknowledge")).isHidden();
                assertThat(row.locator(".comment")).isHidden();
                page.navigate(gateway.uri("/tests.html").toString());
                assertThat(page.locator("#sheet-title")).isVisible();
                assertThat(page.locator("#force")).isHidden();
                page.navigate(gateway.uri("/asset.html?id=t1").toString());
                assertThat(page.locator("#maintain-title")).isHidden();

                page.navigate(gateway.uri("/").toString());
                assertThat(page.locator("#link")).hasText("Live");
                GatewayProcess.command("", "user", data.toString(), "sign-out", "v.iewer");
                assertThat(page.locator("#stale .stale-words")).isVisible();
                assertThat(page.locator("#stale-since")).containsText("Nobody is signed in here any more");
                page.locator("#who a").click();
                assertThat(page).hasURL(Pattern.compile(".*/sign-in\\.html.*"));
            }
        }
    }

    /** The certificate is trusted as a browser would after a person compared its thumbprint: by the JDK's own TLS. */
    @Test
    void thePagesAreHadByHttpsAndByNothingElse() throws Exception {
        Path data = Files.createDirectories(folder.resolve("https-data"));
        GatewayProcess.command(LONG, "user", data.toString(), "add", "e.ngineer", "engineer");
        try (GatewayProcess gateway = GatewayProcess.startNew(station, data, false)) {
            gateway.awaitListening();
            Path certificate = data.resolve("access/https.crt");
            assertThat(PosixFilePermissions.toString(Files.getPosixFilePermissions(data.resolve("access/https.key"))))
                    .isEqualTo("rw-------");
            KeyStore trusted = KeyStore.getInstance(KeyStore.getDefaultType());
            trusted.load(null, null);
            try (var in = Files.newInputStream(certificate)) {
                trusted.setCertificateEntry(
                        "gateway", CertificateFactory.getInstance("X.509").generateCertificate(in));
            }
            TrustManagerFactory managers = TrustManagerFactory.getInstance(TrustManagerFactory.getDefaultAlgorithm());
            managers.init(trusted);
            SSLContext tls = SSLContext.getInstance("TLS");
            tls.init(null, managers.getTrustManagers(), null);
            HttpClient client = HttpClient.newBuilder().sslContext(tls).build();
            URI secure = URI.create("https://127.0.0.1:" + gateway.uri("/").getPort());
            HttpResponse<String> page = client.send(
                    HttpRequest.newBuilder(secure.resolve("/sign-in.html")).build(),
                    HttpResponse.BodyHandlers.ofString());
            assertThat(page.statusCode()).isEqualTo(200);
            assertThat(page.sslSession().orElseThrow().getProtocol()).isIn("TLSv1.3", "TLSv1.2");
            assertThat(page.headers().firstValue("Strict-Transport-Security").orElse(""))
                    .matches("max-age=\\d{8,}.*");
            HttpResponse<String> signedIn = client.send(
                    HttpRequest.newBuilder(secure.resolve("/api/v1/session"))
                            .header("Content-Type", "application/json")
                            .POST(HttpRequest.BodyPublishers.ofString(
                                    "{\"name\":\"e.ngineer\",\"password\":\"" + LONG + "\"}"))
                            .build(),
                    HttpResponse.BodyHandlers.ofString());
            assertThat(signedIn.headers().firstValue("Set-Cookie").orElse(""))
                    .startsWith("__Host-oilbird-")
                    .contains("Secure", "HttpOnly", "SameSite=Strict", "Path=/");
            try {
                assertThat(GatewayProcess.sendUnsigned(HttpRequest.newBuilder(gateway.uri("/sign-in.html")))
                                .statusCode())
                        .as("plain http on the same port")
                        .isGreaterThanOrEqualTo(400);
            } catch (IOException refused) {
                assertThat(refused).isNotNull();
            }

            Outcome loaded = loadRules(LONG, data, secure.getPort());
            assertThat(loaded.status()).as(loaded.printed()).isZero();
            assertThat(loaded.printed()).contains("oilbird.rules/1");
            Outcome refused = loadRules("a wrong password", data, secure.getPort());
            assertThat(refused.status()).as(refused.printed()).isEqualTo(2);
            Path other = Files.createDirectories(folder.resolve("another-data"));
            Files.createDirectories(other.resolve("access"));
            Files.copy(
                    GatewayProcess.root().resolve("deploy/acceptance/src/test/resources/oilbird/acceptance/other.crt"),
                    other.resolve("access/https.crt"));
            Outcome impostor = loadRules(LONG, other, secure.getPort());
            assertThat(impostor.status()).as(impostor.printed()).isEqualTo(1);
            assertThat(impostor.printed()).contains("could not be asked");
        }
    }

    @Test
    void withoutTlsTheGatewayListensOnThisMachineOnly() throws Exception {
        Path data = Files.createDirectories(folder.resolve("plain-data"));
        Process process = new ProcessBuilder(
                        GatewayProcess.java().toString(),
                        "-Doilbird.station=" + station,
                        "-Doilbird.data=" + data,
                        "-Doilbird.plain-http=true",
                        "-Dquarkus.http.host=0.0.0.0",
                        "-jar",
                        GatewayProcess.root()
                                .resolve("gateway/app/target/quarkus-app/quarkus-run.jar")
                                .toString())
                .redirectErrorStream(true)
                .start();
        String printed = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(process.waitFor()).as(printed).isEqualTo(1);
        assertThat(printed).contains("without TLS the gateway listens on this machine only");
    }

    private static int signIn(GatewayProcess gateway, String name, String password) throws IOException {
        return GatewayProcess.sendUnsigned(HttpRequest.newBuilder(gateway.uri("/api/v1/session"))
                        .header("Content-Type", "application/json")
                        .POST(HttpRequest.BodyPublishers.ofString(
                                "{\"name\":\"" + name + "\",\"password\":\"" + password + "\"}")))
                .statusCode();
    }

    private static void awaitAlarm(GatewayProcess gateway, boolean active) {
        Awaitility.await("the alarm of the break-glass code is " + (active ? "active" : "over"))
                .atMost(SOON)
                .until(() -> gateway.get("/api/v1/alarms/gateway/gateway.break-glass-used")
                        .body()
                        .contains("\"active\":" + active));
    }

    @Test
    void theBreakGlassCodeOpensOnceRaisesAnAlarmAndEachChangeIsRecordedOnceOverRestarts() throws Exception {
        Path data = Files.createDirectories(folder.resolve("glass-data"));
        String code = GatewayProcess.command("", "user", data.toString(), "break-glass")
                .lines()
                .filter(line -> line.startsWith("    "))
                .findFirst()
                .orElseThrow()
                .strip();
        try (GatewayProcess gateway = GatewayProcess.start(station, data).awaitReady()) {
            awaitAlarm(gateway, false);
            assertThat(signIn(gateway, "break-glass", "AAAAA-AAAAA-AAAAA-AAAAA-AAAAA"))
                    .isEqualTo(401);
            assertThat(signIn(gateway, "break-glass", code)).isEqualTo(200);
            assertThat(signIn(gateway, "break-glass", code)).as("spent").isEqualTo(401);
            awaitAlarm(gateway, true);
        }
        try (GatewayProcess gateway = GatewayProcess.start(station, data).awaitReady()) {
            assertThat(signIn(gateway, "break-glass", code))
                    .as("spent after a restart")
                    .isEqualTo(401);
            awaitAlarm(gateway, true);
            GatewayProcess.command("", "user", data.toString(), "break-glass");
            awaitAlarm(gateway, false);
            Awaitility.await("the record has every change once").atMost(SOON).untilAsserted(() -> {
                String record = gateway.get("/api/v1/record?kind=break-glass-made&kind=break-glass-used&kind=user-added"
                                + "&kind=token-added&before=1000000&limit=1000")
                        .body();
                assertThat(record.split("\"kind\":\"break-glass-made\"", -1)).hasSize(3);
                assertThat(record.split("\"kind\":\"break-glass-used\"", -1)).hasSize(2);
                assertThat(record.split("\"kind\":\"user-added\"", -1)).hasSize(2);
                assertThat(record.split("\"kind\":\"token-added\"", -1)).hasSize(2);
                assertThat(record).doesNotContain(code);
            });
            assertThat(gateway.output()).doesNotContain(code, gateway.token());
        }
    }

    private record Outcome(int status, String printed) {}

    private static Outcome loadRules(String password, Path data, int port) throws Exception {
        return launcher(
                password,
                "rules",
                "load",
                station.toString(),
                "--data",
                data.toString(),
                "--as",
                "e.ngineer",
                "--port",
                String.valueOf(port));
    }

    private static Outcome launcher(String input, String... words) throws Exception {
        List<String> command = new ArrayList<>();
        command.add(GatewayProcess.root().resolve("deploy/oilbird").toString());
        command.addAll(List.of(words));
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        try (var in = process.getOutputStream()) {
            in.write((input + "\n").getBytes(StandardCharsets.UTF_8));
        }
        String printed = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        return new Outcome(process.waitFor(), printed);
    }

    @Test
    void theCommandsChangeWhoMayDoWhatAndNeverShowAPasswordOrTakeOneAsAWord() throws Exception {
        Path data = Files.createDirectories(folder.resolve("commands-data"));
        String d = data.toString();
        assertThat(launcher(LONG, "user", d, "add", "a.person", "operator").printed())
                .contains("a.person is a user with the role operator");
        assertThat(launcher("short", "user", d, "password", "a.person"))
                .satisfies(o -> assertThat(o.status()).isEqualTo(2))
                .satisfies(o -> assertThat(o.printed()).contains("at least 12"));
        assertThat(launcher(LONG, "user", d, "add", "b.person", "king").status())
                .isEqualTo(2);
        assertThat(launcher("", "user", d, "add", "c.person", "operator", LONG).status())
                .as("a password as a word")
                .isEqualTo(2);
        assertThat(launcher("", "user", d, "token", "add", "room", "--may", "view,acknowledge", "--days", "30")
                        .printed())
                .containsPattern("(?m)^    [0-9a-f]{16}\\.[\\w-]{43}$");
        assertThat(launcher("", "user", d, "break-glass").printed())
                .containsPattern("(?m)^    ([A-Z2-9]{5}-){4}[A-Z2-9]{5}$");
        assertThat(launcher("", "user", d).printed())
                .contains("a.person", "room", "ready", "release-keep-away")
                .doesNotContain("argon2");
        assertThat(launcher("", "user", d, "remove", "a.person").status()).isZero();
        assertThat(launcher(LONG, "user", d, "add", "a.person", "viewer").printed())
                .contains("--same-person");
    }
}
