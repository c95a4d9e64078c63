package oilbird.acceptance;

import static com.microsoft.playwright.assertions.PlaywrightAssertions.assertThat;
import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.microsoft.playwright.Locator;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.assertions.LocatorAssertions;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.Media;
import com.microsoft.playwright.options.ReducedMotion;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDateTime;
import java.time.ZoneId;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Pattern;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.MethodOrderer;
import org.junit.jupiter.api.Order;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestMethodOrder;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * Guided fault-finding in a real browser at phone width, before a packaged gateway and independent monitors: from the
 * stopped cabinet fan to the proof that it turns again. The gateway's clock runs 120 times as fast, so that the fan's
 * proving time of 90 minutes is 45 seconds.
 */
@TestMethodOrder(MethodOrderer.OrderAnnotation.class)
class GuidedFaultFindingIT {
    private static final ObjectMapper JSON = new ObjectMapper();
    private static final int RATE = 120;
    private static final int FAN_SPEED = 22;
    private static final int ACETYLENE = 6;
    private static final int HYDROGEN = 2;
    private static final int ANALYSES = 1;
    private static final int HEAT_SINK = 21;
    private static final int MOST_PAGES = 12;
    private static final String COLLEAGUE = "b.low";

    /** What a technician finds where the cabinet fan has really stopped; by common practice, in the map's own words. */
    private static final Map<String, String> FAN_HAS_STOPPED = new LinkedHashMap<>();

    static {
        FAN_HAS_STOPPED.put("compare-fan-and-heat-sink", "no speed and a heat sink that rises");
        FAN_HAS_STOPPED.put("see-fan-speed-course", "it fell to nothing at once");
        FAN_HAS_STOPPED.put("ask-for-work-on-fan", "nobody did");
        FAN_HAS_STOPPED.put("look-at-cabinet-air-path", "openings free and no sound");
        FAN_HAS_STOPPED.put("look-at-cabinet-fan", "plug seated and no movement");
        FAN_HAS_STOPPED.put("see-fan-speed-back", "");
    }

    @TempDir
    static Path folder = Path.of("");

    private static Browser browser;
    private static Monitor monitor;
    private static ControlRoom room;
    private static GatewayProcess gateway;
    private static Path data = Path.of("");
    private static String first = "";

    @BeforeAll
    static void aStationWithAStoppedFan() throws Exception {
        browser = Browser.start();
        monitor = TestStation.healthyGasMonitor();
        monitor.setInputFloatLowWordFirst(ACETYLENE, 0.1f);
        room = new ControlRoom();
        Path station = TestStation.write(folder.resolve("station"), room.port(), List.of(monitor.port()));
        Path file = station.resolve("station.yaml");
        // On the gateway's clock: twice a second on the machine's.
        Files.writeString(
                file,
                Files.readString(file).replace("{status: 200 ms, readings: 500 ms}", "{status: 60 s, readings: 60 s}"));
        // Two people at work for what are weeks on the gateway's clock.
        Files.writeString(station.resolve("access.yaml"), "access: 1\nsessions: {idle: 20 d, absolute: 30 d}\n");
        data = folder.resolve("data");
        gateway = GatewayProcess.startFast(station, data, RATE).awaitReady();
        GatewayProcess.command(GatewayProcess.password(), "user", data.toString(), "add", COLLEAGUE, "engineer");
        Awaitility.await("the monitor has been read")
                .atMost(Duration.ofSeconds(60))
                .until(() -> json("/api/v1/readings/gas-t1/cabinet-fan-speed")
                        .toString()
                        .contains("\"value\":2400"));
    }

    @AfterAll
    static void end() throws Exception {
        if (gateway != null) {
            gateway.close();
            room.close();
            monitor.close();
        }
        if (browser != null) {
            browser.close();
        }
    }

    @AfterEach
    void noScriptFailedAndThePolicyRefusedNothing() {
        // A browser complains of every answer 4xx; here two are what the tests ask for.
        assertThat(browser.complaints().stream()
                        .filter(text -> !text.matches(".*status of (400|409).*"))
                        .toList())
                .isEmpty();
    }

    // ---- the plant

    private static void fanStops() {
        monitor.setInputRegister(FAN_SPEED, 0);
        monitor.setInputRegister(0, TestStation.FAN_STOPPED);
    }

    private static void fanTurns() {
        monitor.setInputRegister(HEAT_SINK, 275);
        monitor.setInputRegister(FAN_SPEED, 2400);
        monitor.setInputRegister(0, TestStation.HEALTHY);
    }

    private static JsonNode json(String path) {
        try {
            return JSON.readTree(gateway.get(path).body());
        } catch (IOException e) {
            throw new IllegalStateException(e);
        }
    }

    /** The open diagnosis of the monitor's fan. */
    private static String diagnosis() {
        String[] found = {""};
        Awaitility.await("a diagnosis is open").atMost(Duration.ofSeconds(60)).until(() -> {
            for (JsonNode each : json("/api/v1/diagnoses").path("diagnoses")) {
                if (each.toString().contains("gas-t1.fan-stopped")) {
                    found[0] = each.path("diagnosis").asText();
                }
            }
            return !found[0].isEmpty();
        });
        return found[0];
    }

    private static JsonNode state(String session) {
        return json("/api/v1/fault-findings/" + session);
    }

    // ---- the page

    private static Page phone() {
        return gateway.signedIn(browser.page(390, 844));
    }

    private static Path shots() {
        return Path.of(System.getProperty("oilbird.shots", folder.toString()));
    }

    private static void seen(Page page, String name) {
        page.screenshot(new Page.ScreenshotOptions()
                .setPath(shots().resolve("guided-" + name + ".png"))
                .setFullPage(true));
    }

    private static String sessionOf(Page page) {
        page.waitForURL(Pattern.compile(".*fault-finding\\.html\\?id=.*"));
        return page.url().replaceAll(".*id=", "");
    }

    private static void awaitVersionAbove(String session, long version) {
        Awaitility.await("it is taken")
                .atMost(Duration.ofSeconds(30))
                .until(() -> state(session).path("version").asLong() > version);
    }

    private static boolean known(String check) {
        String id = check.substring(check.indexOf('.') + 1);
        return id.equals("measure-fan-supply") || FAN_HAS_STOPPED.containsKey(id);
    }

    /** Confirms what the step asks for, and answers it as one would whose fan has really stopped. */
    private static void answer(Page page, String session) {
        JsonNode now = state(session);
        String check = now.path("next").path("check").asText();
        Locator card = page.locator("#card .step");
        assertThat(card).isVisible();
        long version = now.path("version").asLong();
        if (check.endsWith("measure-fan-supply")) {
            card.locator("input[name=written]").fill("24,1 V");
            card.locator("input[name=before]").check();
            card.locator("input[name=after]").check();
            card.locator(".record-value").click();
        } else {
            String found = FAN_HAS_STOPPED.get(check.substring(check.indexOf('.') + 1));
            assertThat(found).as("the test knows what is found at %s", check).isNotNull();
            card.locator(".buttons button")
                    .filter(new Locator.FilterOptions().setHasText(found))
                    .first()
                    .click();
        }
        awaitVersionAbove(session, version);
    }

    @Test
    @Order(1)
    void aWholeFaultFindingOnAPhoneOverALostConnectionUntilItIsProvedGone() throws Exception {
        fanStops();
        Page page = phone();
        page.navigate(gateway.uri("/diagnosis.html?id=" + diagnosis()).toString());
        page.locator("#begin-finding").click();
        String session = sessionOf(page);
        first = session;
        assertThat(page.locator("#card .step")).isVisible();
        assertThat(page.locator("#card .step .cautions")).isVisible();
        assertThat(page.locator("#at-work")).containsText("At work now");
        Locator target = page.locator("#card .buttons button").first();
        assertThat(target.boundingBox().height).as("for a gloved hand").isGreaterThanOrEqualTo(56);
        seen(page, "phone-first-step");

        // Cautions stand before what is to be done.
        assertThat((Boolean) page.evaluate("() => { const s = document.querySelector('#card .step');"
                        + " return Boolean(s.querySelector('.cautions').compareDocumentPosition(s.querySelector('.do'))"
                        + " & Node.DOCUMENT_POSITION_FOLLOWING); }"))
                .isTrue();
        answer(page, session);

        // The connection is lost: two answers wait in the open page.
        page.context().setOffline(true);
        long before = state(session).path("version").asLong();
        for (int i = 0; i < 2; i++) {
            if (page.locator("#card .step").count() == 0) {
                page.locator("#others-part summary").click();
                page.locator("#others button").first().click();
            }
            page.locator("#card .buttons button").first().click();
        }
        assertThat(page.locator("#queue-words")).containsText("OFFLINE. 2 entries wait");
        assertThat(page.locator("#queue-words")).containsText("ask the control room before you go near");
        assertThat(page.locator("#waiting li")).hasCount(2);
        seen(page, "phone-offline");
        assertThat(state(session).path("version").asLong())
                .as("nothing has come through yet")
                .isEqualTo(before);
        page.context().setOffline(false);
        assertThat(page.locator("#queue-words")).hasText("Online. All that you said is recorded.");
        awaitVersionAbove(session, before + 1);
        assertThat(page.locator("#waiting li")).hasCount(0);
        JsonNode record = json("/api/v1/fault-findings/" + session + "/record");
        assertThat(late(record)).as("what waited is dated by when it was said").hasSizeGreaterThanOrEqualTo(2);

        for (int i = 0; i < 8 && state(session).path("found").isMissingNode(); i++) {
            JsonNode next = state(session).path("next");
            if (!"check".equals(next.path("kind").asText())
                    || !known(next.path("check").asText())) {
                break;
            }
            answer(page, session);
        }
        seen(page, "phone-found");

        // Put right by what the person says, whatever is in the library.
        fanTurns();
        putRight(page, "new cabinet fan, serial 0815");
        seen(page, "phone-watch");
        assertThat(page.locator("#next-words")).containsText("PROVED GONE", patiently());
        seen(page, "phone-proved");
        assertThat(state(session).path("ending").path("kind").asText()).isEqualTo("proved-gone");
        page.context().close();
    }

    private static List<String> late(JsonNode record) {
        List<String> late = new ArrayList<>();
        record.path("steps").forEach(step -> {
            if (step.has("doneAt")) {
                late.add(step.path("doneAt").asText());
            }
        });
        return late;
    }

    @Test
    @Order(2)
    void theRecordIsPrintedAndVerifiedAndATamperedOneRefused() throws Exception {
        Page page = gateway.signedIn(browser.page(1280, 900));
        page.navigate(gateway.uri("/fault-finding-record.html?id=" + first).toString());
        assertThat(page.locator("#steps li").first()).isVisible();
        seen(page, "record-wide");
        byte[] pdf = page.pdf(new Page.PdfOptions()
                .setPath(shots().resolve("guided-record.pdf"))
                .setFormat("A4"));
        assertThat(new String(pdf, 0, 5, StandardCharsets.US_ASCII)).isEqualTo("%PDF-");
        String printed = page.locator("#seal").textContent();
        page.emulateMedia(new Page.EmulateMediaOptions().setMedia(Media.PRINT));
        assertThat(page.locator("#seal")).isVisible();
        assertThat(page.locator("nav")).isHidden();

        String json = gateway.get("/api/v1/fault-findings/" + first + "/record").body();
        Path file = Files.writeString(folder.resolve("record.json"), json);
        assertThat(verified(file, data)).satisfies(v -> {
            assertThat(v[1]).contains("nothing missing and nothing changed", "seal " + printed);
            assertThat(v[0]).isEqualTo("0");
        });
        Path tampered = Files.writeString(folder.resolve("tampered.json"), json.replace("serial 0815", "serial 0816"));
        assertThat(verified(tampered)).satisfies(v -> {
            assertThat(v[1]).contains("REFUSED");
            assertThat(v[0]).isEqualTo("6");
        });
        page.context().close();
    }

    @Test
    @Order(3)
    void aSecondTechnicianOverwritesNothingAndTheRestIsTypedInFromThePrintedSheet() throws Exception {
        fanStops();
        Page phone = phone();
        phone.navigate(gateway.uri("/diagnosis.html?id=" + diagnosis()).toString());
        phone.locator("#begin-finding").click();
        String session = sessionOf(phone);
        assertThat(phone.locator("#card .step")).isVisible();

        Page desk = gateway.signedIn(browser.page(1280, 900));
        desk.navigate(gateway.uri("/fault-finding-sheet.html?id=" + session).toString());
        assertThat(desk.locator("#steps > li").first()).isVisible();
        String key = desk.locator("#sheet-key").textContent();
        assertThat(key).startsWith(session + " v");
        byte[] pdf = desk.pdf(new Page.PdfOptions()
                .setPath(shots().resolve("guided-sheet.pdf"))
                .setFormat("A4"));
        int sheets = pages(pdf);
        System.out.printf(
                "the printed sheet of %d steps has %d pages%n",
                desk.locator("#steps > li").count(), sheets);
        assertThat(sheets).as("a sheet that somebody takes along").isLessThanOrEqualTo(MOST_PAGES);

        // Both answer the same check; the one who was offline is told, and nothing is overwritten.
        String check = state(session).path("next").path("check").asText();
        phone.context().setOffline(true);
        phone.locator("#card .buttons button").last().click();
        assertThat(phone.locator("#queue-words")).containsText("OFFLINE. 1 entry waits");
        Page colleague = gateway.signedIn(browser.page(390, 844), COLLEAGUE, GatewayProcess.password());
        colleague.navigate(gateway.uri("/fault-finding.html?id=" + session).toString());
        assertThat(colleague.locator("#at-work")).containsText(GatewayProcess.USER);
        colleague.locator("#join").click();
        assertThat(colleague.locator("#at-work")).containsText(COLLEAGUE);
        answer(colleague, session);
        String theirs = found(session, check);
        phone.context().setOffline(false);
        Locator refused = phone.locator("#refused li");
        assertThat(refused).containsText("Meanwhile " + COLLEAGUE + " has answered");
        assertThat(refused).containsText("Nothing was overwritten");
        seen(phone, "phone-overtaken");
        assertThat(found(session, check)).isEqualTo(theirs);
        refused.locator("button").last().click();
        assertThat(refused).hasCount(0);
        phone.context().close();
        colleague.context().close();

        typedIn(desk, session, check, key.substring(key.lastIndexOf('v') + 1));

        fanTurns();
        Page later = phone();
        later.navigate(gateway.uri("/fault-finding.html?id=" + session).toString());
        putRight(later, "fan refitted as the sheet says");
        assertThat(later.locator("#next-words")).containsText("PROVED GONE", patiently());
        later.context().close();
    }

    /** A4 pages of a PDF as Chromium writes it. */
    private static int pages(byte[] pdf) {
        return (int) Pattern.compile("/Type\\s*/Page\\b")
                .matcher(new String(pdf, StandardCharsets.ISO_8859_1))
                .results()
                .count();
    }

    private static String found(String session, String check) {
        String found = "";
        for (JsonNode answer : state(session).path("answers")) {
            if (answer.path("check").asText().equals(check)) {
                found = answer.path("who").asText() + ": "
                        + answer.path("found").asText();
            }
        }
        assertThat(found).as("an answer to " + check).isNotEmpty();
        return found;
    }

    /** Types in all that the test knows how to find, with the number of the sheet that was printed before the colleague came. */
    private static void typedIn(Page desk, String session, String done, String printed) {
        desk.reload();
        assertThat(desk.locator("#steps > li").first()).isVisible();
        desk.locator("#printed-version").fill(printed);
        String now = state(session).path("asOf").asText();
        String local = LocalDateTime.ofInstant(Instant.parse(now), ZoneId.systemDefault())
                .truncatedTo(ChronoUnit.MINUTES)
                .toString();
        int filled = 0;
        boolean measured = false;
        for (Locator step : desk.locator("#steps > li").all()) {
            String check = String.valueOf(step.getAttribute("data-check"));
            if (check.equals(done) || !check.startsWith("gas-t1.") || !known(check)) {
                continue;
            }
            if (check.endsWith("measure-fan-supply")) {
                step.locator("input[name=written]").fill("1,234 V");
                step.locator("input[name=before]").check();
                step.locator("input[name=after]").check();
                measured = true;
            } else {
                String found = FAN_HAS_STOPPED.getOrDefault(check.substring(check.indexOf('.') + 1), "");
                if (found.isEmpty()) {
                    continue;
                }
                step.locator(".finding label")
                        .filter(new Locator.FilterOptions().setHasText(found))
                        .first()
                        .click();
            }
            for (Locator confirm : step.locator(".confirms input").all()) {
                confirm.check();
            }
            step.locator("input[name=doneAt]").fill(local);
            filled++;
        }
        assertThat(filled).as("steps filled in").isGreaterThanOrEqualTo(2);
        assertThat(measured).as("the supply was measured").isTrue();
        seen(desk, "sheet-filled");
        desk.locator("#steps-form button[type=submit]").click();
        assertThat(desk.locator("#refused li")).hasCount(1);
        assertThat(desk.locator("#refused li")).containsText("1,234 V");
        assertThat(desk.locator("#refused li")).containsText("can be read in two ways");
        seen(desk, "sheet-ambiguous");
        assertThat(desk.locator("#waiting li")).hasCount(0);
        JsonNode answers = state(session).path("answers");
        assertThat(answers.size()).as("what was right was taken").isGreaterThanOrEqualTo(filled);
        desk.locator("#refused li button").last().click();
        Locator supply = desk.locator("#steps > li[data-check='gas-t1.measure-fan-supply']");
        supply.locator("input[name=written]").fill("24,1 V");
        for (Locator step : desk.locator("#steps > li").all()) {
            step.locator(".finding input").all().forEach(input -> input.evaluate("box => { box.checked = false; }"));
        }
        desk.locator("#steps-form button[type=submit]").click();
        seen(desk, "sheet-second");
        Awaitility.await("the value is taken")
                .atMost(Duration.ofSeconds(30))
                .until(() -> state(session).path("answers").toString().contains("24,1 V"));
        assertThat(desk.locator("#refused li")).hasCount(0);
    }

    private static void putRight(Page page, String words) {
        page.locator("#repair-part summary").click();
        page.locator("#repair select[name=cause]").selectOption("gas-t1.fan-stopped");
        page.locator("#repair textarea[name=words]").fill(words);
        page.locator("#repair button[type=submit]").click();
        assertThat(page.locator("#next-words")).containsText("Watching whether it is gone");
    }

    /** The fan's proving time is 45 s on the machine. */
    private static LocatorAssertions.ContainsTextOptions patiently() {
        return new LocatorAssertions.ContainsTextOptions().setTimeout(120_000);
    }

    @ParameterizedTest
    @Order(4)
    @CsvSource({"LIGHT", "DARK"})
    void axeFindsNothingSeriousOnTheTechniciansPages(ColorScheme scheme) {
        Page page = gateway.signedIn(browser.page(390, 844, scheme, ReducedMotion.NO_PREFERENCE));
        for (String[] each : new String[][] {
            {"/fault-finding.html", "#list li"},
            {"/fault-finding.html?id=" + first, "#answers li"},
            {"/fault-finding-sheet.html?id=" + first, "#sheet-key"},
            {"/fault-finding-record.html?id=" + first, "#steps li"}
        }) {
            page.navigate(gateway.uri(each[0]).toString());
            assertThat(page.locator(each[1]).first()).isVisible();
            page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true");
            assertThat(Accessibility.serious(page)).as(each[0]).isEmpty();
            assertThat((Boolean) page.evaluate(
                            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"))
                    .as("no sideways scrolling of " + each[0])
                    .isTrue();
        }
        page.context().close();
    }

    @Test
    @Order(5)
    void keepAwayInTheMiddleOfItWithdrawsEveryCheckThatLeadsNearTheTransformer() {
        fanStops();
        Page page = phone();
        page.navigate(gateway.uri("/diagnosis.html?id=" + diagnosis()).toString());
        page.locator("#begin-finding").click();
        String session = sessionOf(page);
        assertThat(exposures(session)).as("there was something to go near for").anyMatch(e -> e >= 1);

        // Arcing, by the gases: common practice.
        monitor.setInputFloatLowWordFirst(ACETYLENE, 400f);
        monitor.setInputFloatLowWordFirst(HYDROGEN, 900f);
        monitor.setInputRegister(ANALYSES, 2);
        Awaitility.await("people are to keep away")
                .atMost(Duration.ofSeconds(60))
                .until(() -> state(session).path("keepAway").size() > 0);
        assertThat(exposures(session)).as("what is left is at a screen").allMatch(e -> e == 0);
        assertThat(page.locator("#withdrawn")).isVisible();
        assertThat(page.locator("#withdrawn")).containsText("keep away");
        for (Locator words :
                page.locator("#card .exposure .words, #others .means").all()) {
            assertThat(words.textContent()).containsPattern("Exposure 0 of 4|^(?!.*Exposure)");
        }
        seen(page, "phone-keep-away");
        page.context().close();
    }

    private static List<Integer> exposures(String session) {
        List<Integer> exposures = new ArrayList<>();
        state(session)
                .path("checks")
                .forEach(check -> exposures.add(check.path("exposure").asInt()));
        return exposures;
    }

    private static String[] verified(Path file, Path... against) throws IOException {
        Path app = GatewayProcess.root().resolve("gateway/app/target/quarkus-app");
        List<String> command = new ArrayList<>(List.of(
                GatewayProcess.java().toString(),
                "-cp",
                app + "/app/*:" + app + "/lib/main/*:" + app + "/lib/boot/*",
                "oilbird.gateway.command.Main",
                "record",
                "verify-fault-finding",
                file.toString()));
        for (Path each : against) {
            command.add(each.toString());
        }
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        return new String[] {String.valueOf(process.onExit().join().exitValue()), said};
    }
}
