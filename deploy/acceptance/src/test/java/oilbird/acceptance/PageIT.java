package oilbird.acceptance;

import static com.microsoft.playwright.assertions.PlaywrightAssertions.assertThat;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import com.microsoft.playwright.Locator;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.Response;
import com.microsoft.playwright.assertions.LocatorAssertions;
import com.microsoft.playwright.options.BoundingBox;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.Media;
import com.microsoft.playwright.options.ReducedMotion;
import com.microsoft.playwright.options.WaitForSelectorState;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Pattern;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The page "what needs someone now" in a real browser, before a packaged gateway and an independent monitor. */
class PageIT {
    private static final int OIL_FLOW_LOW = 1 << 2;
    private static final int DETECTOR_FAULT = 1 << 3;
    private static final int SELF_TEST_PASSED = 1 << 14;

    @TempDir
    static Path folder = Path.of("");

    private static Browser browser;
    private static Monitor monitor;
    private static ControlRoom room;
    private static GatewayProcess gateway;

    @BeforeAll
    static void aStationWhoseNamesTryToBeMarkup() throws Exception {
        browser = Browser.start();
        monitor = TestStation.healthyGasMonitor();
        room = new ControlRoom();
        Path station = TestStation.write(folder.resolve("station"), room.port(), List.of(monitor.port()));
        Path file = station.resolve("station.yaml");
        Files.writeString(file, Files.readString(file).replace("Transformer 1", "\"T <i id='m'>1</i>\""));
        gateway = GatewayProcess.start(station, folder.resolve("data")).awaitReady();
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

    @BeforeEach
    void onlyFanAndOilFlowHaveFailed() {
        monitor.setInputRegister(0, TestStation.FAN_STOPPED | OIL_FLOW_LOW);
        for (String other : List.of("t1/gas-t1.detector-fault", "t1/gas-t1.self-test-failed")) {
            Awaitility.await(other + " is back to normal")
                    .atMost(Duration.ofSeconds(30))
                    .until(() -> {
                        String state = gateway.get("/api/v1/alarms/" + other).body();
                        if (state.contains("\"active\":false") && state.contains("\"acknowledged\":false")) {
                            gateway.post("/api/v1/alarms/" + other + "/acknowledge", "{\"by\":\"A. Tester\"}");
                        }
                        return state.contains("\"state\":\"NORM\"");
                    });
        }
    }

    @AfterEach
    void noScriptFailedAndThePolicyRefusedNothing() {
        assertThat(browser.complaints()).isEmpty();
    }

    private static Page open(Page page) {
        gateway.signedIn(page).navigate(gateway.uri("/").toString());
        assertThat(row(page, "fan")).isVisible();
        assertThat(row(page, "oil-flow-low")).isVisible();
        return page;
    }

    private static Locator row(Page page, String rule) {
        return page.locator("#needs > li[data-alarm*='" + rule + "']");
    }

    @ParameterizedTest
    @CsvSource({"1280, 800, LIGHT", "390, 844, LIGHT", "1280, 800, DARK", "390, 844, DARK"})
    void axeFindsNothingSeriousWithEverythingUnfolded(int width, int height, ColorScheme scheme) {
        Page page = open(browser.page(width, height, scheme, ReducedMotion.NO_PREFERENCE));
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true");

        assertThat(Accessibility.serious(page)).isEmpty();
        page.context().close();
    }

    @Test
    void anAlarmIsToldInPlainWordsWithTrustCallTimeAndFirstChecks() {
        Page page = open(browser.page(1280, 800));
        Locator flow = row(page, "oil-flow-low");

        assertThat(flow.locator(".headline")).containsText("oil no longer flows through the gas monitor");
        assertThat(flow.locator(".trouble")).hasText("Monitor trouble, not transformer");
        assertThat(flow.locator(".trust")).containsText("doubtful");
        assertThat(flow.locator(".call dd")).hasText("the monitor technician");
        assertThat(flow.locator(".within dd")).containsText("left");
        assertThat(page.locator(".promise")).hasText("Oilbird informs; it protects nothing. Hardwired alarms stay.");

        flow.locator(".checks > summary").click();
        assertThat(flow.locator(".check .exposure").first()).containsText(Pattern.compile("Exposure [0-4] of 4: \\w+"));
        assertThat(flow.locator(".check .cautions li").first()).isVisible();
        List<String> exposures = flow.locator(".check .exposure .words").allTextContents();
        assertThat(exposures).isNotEmpty().isSorted();
        page.context().close();
    }

    @Test
    void namesAreShownAsTextAndNeverAsMarkup() {
        Page page = open(browser.page(1280, 800));

        assertThat(page.locator("#m")).hasCount(0);
        assertThat(row(page, "fan").locator(".headline")).containsText("<i id='m'>1</i>");
        page.context().close();
    }

    @Test
    void byKeyboardAloneAnAlarmIsAcknowledgedByWhoIsSignedIn() throws Exception {
        monitor.setInputRegister(0, (TestStation.FAN_STOPPED | OIL_FLOW_LOW) & ~SELF_TEST_PASSED);
        Page page = open(browser.page(1280, 800));
        Locator row = row(page, "self-test-failed");
        assertThat(row).isVisible();

        assertThat(row.locator(".state")).hasText("New, not acknowledged");
        tabTo(page, "li[data-alarm*='self-test-failed'] .acknowledge");
        page.keyboard().press("Enter");
        assertThat(row.locator(".state")).hasText("Acknowledged, still there");
        assertThat(row.locator(".outcome")).hasText("Acknowledged by " + GatewayProcess.USER);
        assertThat(row.locator(".headline")).isFocused();

        assertThat(gateway.get("/api/v1/alarms/" + row.getAttribute("data-alarm") + "/events")
                        .body())
                .contains("\"kind\":\"acknowledged\"")
                .contains("\"by\":{\"name\":\"" + GatewayProcess.USER + "\",\"door\":\"page\"}");
        page.context().close();
    }

    private static void tabTo(Page page, String selector) {
        for (int presses = 0; presses < 80; presses++) {
            page.keyboard().press("Tab");
            if (Boolean.TRUE.equals(page.evaluate("s => document.activeElement?.matches(s) ?? false", selector))) {
                return;
            }
        }
        throw new AssertionError("80 presses of Tab do not reach " + selector);
    }

    /** ANSI/ISA-18.2 on lists, and common practice: a newcomer never moves the row that somebody is about to press. */
    @ParameterizedTest
    @CsvSource({"1280, 900", "390, 844"})
    void aNewAlarmDoesNotMoveTheRowUnderThePointer(int width, int height) {
        Page page = open(browser.page(width, height));
        Locator fan = row(page, "fan");
        fan.locator(".headline").hover();
        BoundingBox before = fan.boundingBox();

        monitor.setInputRegister(0, TestStation.FAN_STOPPED | OIL_FLOW_LOW | DETECTOR_FAULT);
        assertThat(row(page, "detector-fault")).isVisible();
        assertThat(page.locator("#order-words")).containsText("new at the bottom");

        BoundingBox after = fan.boundingBox();
        assertThat(after.y).isCloseTo(before.y, within(1.0));
        assertThat(row(page, "detector-fault").boundingBox().y).isGreaterThan(after.y);

        page.evaluate("window.scrollTo(0, 0)");
        page.mouse().move(5, 5);
        assertThat(page.locator("#order-words")).hasText("");
        Awaitility.await("the more urgent one goes up once nobody points")
                .atMost(Duration.ofSeconds(20))
                .until(() -> row(page, "detector-fault").boundingBox().y < fan.boundingBox().y);
        page.context().close();
    }

    @Test
    void onlyTheMarkOfANewAlarmFlashesSlowlyAndNotForThoseWhoAskForLessMotion() {
        Page page = open(browser.page(1280, 800));
        String animated = """
                () => [...document.querySelectorAll('*')]
                    .filter((e) => getComputedStyle(e).animationName !== 'none')
                    .map((e) => [...e.classList].join(' ') + ' ' + getComputedStyle(e).animationDuration)
                """;
        assertThat((List<?>) page.evaluate(animated)).isNotEmpty().allMatch(e -> e.equals("ring 1s"));
        page.locator("#still").click();
        assertThat((List<?>) page.evaluate(animated)).isEmpty();
        page.context().close();

        Page calm = open(browser.page(1280, 800, ColorScheme.LIGHT, ReducedMotion.REDUCE));
        assertThat((List<?>) calm.evaluate(animated)).isEmpty();
        calm.context().close();
    }

    @Test
    void atThreeHundredAndTwentyPixelsNothingHasToBeScrolledSideways() {
        Page page = open(browser.page(320, 700));
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true");

        assertThat(page.evaluate("document.documentElement.scrollWidth")).isEqualTo(320);
        page.context().close();
    }

    /** Contrast by WCAG 2.2, definition of relative luminance; 1.4.3 asks 4.5 of text and 1.4.11 3 of marks. */
    @ParameterizedTest
    @CsvSource({"LIGHT", "DARK"})
    void theMarksOfAllPrioritiesHaveTheContrastThatTheStandardAsks(ColorScheme scheme) {
        assertThat(Contrast.of("rgb(0, 0, 0)", "rgb(255, 255, 255)")).isEqualTo(21.0);
        assertThat(Contrast.of("rgb(118, 118, 118)", "rgb(255, 255, 255)")).isBetween(4.5415, 4.5425);

        Page page = open(browser.page(1280, 800, scheme, ReducedMotion.NO_PREFERENCE));
        for (int priority = 1; priority <= 4; priority++) {
            String name = "p" + priority;
            double digit = Contrast.of(colour(page, name + "-digit"), colour(page, name));
            double outline = Contrast.of(colour(page, "outline"), colour(page, "panel"));
            assertThat(digit).as("digit on the mark of priority " + priority).isGreaterThanOrEqualTo(4.5);
            assertThat(outline).as("outline of a mark on its row").isGreaterThanOrEqualTo(3);
        }
        page.context().close();
    }

    private static String colour(Page page, String variable) {
        return (String) page.evaluate("""
                (name) => {
                  const probe = document.body.appendChild(document.createElement('i'));
                  probe.style.color = `var(--${name})`;
                  const colour = getComputedStyle(probe).color;
                  probe.remove();
                  return colour;
                }
                """, variable);
    }

    @Test
    void aPageThatHearsNothingSaysSoInBigWords() throws Exception {
        try (GatewayProcess other = GatewayProcess.start(
                        TestStation.write(folder.resolve("other-station"), room.port(), List.of(monitor.port())),
                        folder.resolve("other-data"))
                .awaitReady()) {
            Page page = browser.page(1280, 800);
            other.signedIn(page).navigate(other.uri("/").toString());
            assertThat(page.locator("#link")).hasText("Live");
            assertThat(page.locator("#stale")).isHidden();

            other.kill9();
            assertThat(page.locator("#stale .stale-words")).hasText("THIS PAGE IS OUT OF DATE");
            assertThat(page.locator("#stale")).isVisible();
            assertThat(page.locator("#stale-since")).containsText("No word from the gateway since");
            assertThat(
                            (Integer)
                                    page.evaluate(
                                            "Math.round(parseFloat(getComputedStyle(document.querySelector('.stale-words')).fontSize))"))
                    .as("pixels of height of the words")
                    .isGreaterThanOrEqualTo(32);
            page.context().close();
        }
    }

    private static Page openOther(Page page, String path, String ready) {
        gateway.signedIn(page).navigate(gateway.uri(path).toString());
        assertThat(page.locator("#link")).hasText("Live");
        page.locator(ready).first().waitFor(new Locator.WaitForOptions().setState(WaitForSelectorState.ATTACHED));
        return page;
    }

    private static String standing() throws Exception {
        return gateway.get("/api/v1/standing").body();
    }

    @Test
    void maintenanceStandsOnEveryPageWithPersonPermitAndTimeAndIsEndedThere() throws Exception {
        assertThat(gateway.post(
                                "/api/v1/standing/maintenance/gas-t1/begin",
                                "{\"by\":\"T. Technician\",\"reason\":\"fan is being replaced\",\"permit\":\"PTW 2207\",\"duration\":\"PT4H\"}")
                        .statusCode())
                .isEqualTo(204);
        Page page = browser.page(1280, 800);
        for (String path : List.of("/tests.html", "/asset.html?id=t1", "/asset.html", "/")) {
            openOther(page, path, "#maintenance li");
            Locator banner = page.locator("#maintenance li");
            assertThat(banner).hasCount(1);
            assertThat(banner.locator(".words")).containsText("In maintenance");
            assertThat(banner.locator(".detail"))
                    .containsText(Pattern.compile(
                            "Fan is being replaced. Permit PTW 2207, T. Technician, until .* \\(3.h.59.min left\\)"));
        }
        Locator banner = page.locator("#maintenance li");
        banner.locator("summary").click();
        banner.locator("input").fill("fan runs again");
        banner.locator("button").click();
        assertThat(page.locator("#maintenance li")).hasCount(0);
        assertThat(page.locator("#maintenance")).isHidden();
        assertThat(standing()).contains("\"maintenance\":[]");
        assertThat(gateway.get("/api/v1/record?kind=maintenance-ended&before=100000")
                        .body())
                .contains(GatewayProcess.USER + " (page)")
                .contains("fan runs again");
        page.context().close();
    }

    @Test
    void aPointIsForcedBothWaysAndTheSheetForBothEndsHasEveryForcing() throws Exception {
        Page page = openOther(browser.page(1280, 800), "/tests.html", "#force");
        assertThat(page.locator("#points option[value='t1/gas-t1.detector-fault']"))
                .hasCount(1);
        Locator form = page.locator("#force");
        form.locator("[name=point]").fill("t1/gas-t1.no-such");
        form.locator("[name=to]").fill("active");
        form.locator("button").click();
        assertThat(form.locator(".outcome")).containsText("no such point");

        form.locator("[name=point]").fill("t1/gas-t1.detector-fault");
        form.locator("button").click();
        assertThat(form.locator(".outcome")).hasText("Forced to active");
        Locator banner = page.locator("#tests li");
        assertThat(banner.locator(".detail"))
                .containsText("Sent to the control room as active, whatever the truth is. " + GatewayProcess.USER
                        + ", until");
        form.locator("[name=to]").fill("normal");
        form.locator("button").click();
        assertThat(banner.locator(".detail")).containsText("as normal");
        banner.locator("summary").click();
        banner.locator("button").click();
        assertThat(banner).hasCount(0);
        form.locator("[name=point]").fill("gas-t1/hydrogen");
        form.locator("[name=to]").fill("321");
        form.locator("button").click();
        assertThat(banner.locator(".words")).containsText("hydrogen");
        banner.locator("summary").click();
        banner.locator("button").click();
        assertThat(banner).hasCount(0);

        Locator rows = page.locator("#sheet tbody tr");
        assertThat(rows).hasCount(3);
        assertThat(rows.locator("td:nth-child(2)")).hasText(new String[] {"active", "normal", "321"});
        assertThat(rows.locator("td:nth-child(5)"))
                .hasText(new String[] {GatewayProcess.USER, GatewayProcess.USER, GatewayProcess.USER});
        assertThat(rows.locator("td:nth-child(4)")).containsText(new String[] {":", ":", ":"});
        assertThat(standing()).contains("\"tests\":[]");

        page.emulateMedia(new Page.EmulateMediaOptions().setMedia(Media.PRINT));
        assertThat(page.locator("#force")).isHidden();
        assertThat(page.locator("#print")).isHidden();
        assertThat(rows.first().locator("input[type=radio]")).hasCount(2);
        assertThat(page.locator(".signatures h3")).hasText(new String[] {"At the station", "At the control room"});
        assertThat(page.locator(".signatures dt")).hasCount(6);
        assertThat((Boolean)
                        page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"))
                .as("nothing is cut off")
                .isTrue();
        page.context().close();
    }

    @Test
    void aCommentIsRecordedAndStandsInTheHistoryOfTheAlarm() throws Exception {
        Page page = open(browser.page(1280, 800));
        Locator row = row(page, "oil-flow-low");
        row.locator(".comment summary").click();
        row.locator(".comment textarea").fill("Valve <b>V7</b> is being looked at");
        row.locator(".comment button").click();
        assertThat(row.locator(".act > .outcome")).hasText("Comment of " + GatewayProcess.USER + " recorded");
        row.locator(".checks > summary").click();
        row.locator(".history > summary").click();
        assertThat(row.locator(".history li").first())
                .containsText("Comment by " + GatewayProcess.USER + ": Valve <b>V7</b> is being looked at");
        page.context().close();
    }

    @Test
    void whatBelongsTogetherIsExplainedWithProbabilityInWordsAndFigures() throws Exception {
        Page page = open(browser.page(1280, 800));
        Locator likely = page.locator("#needs .likely:not([hidden])").first();
        // Right after a start a diagnosis waits up to a minute for signs that have not been heard of.
        assertThat(likely)
                .containsText(
                        Pattern.compile("\\(\\d+ %\\)"),
                        new LocatorAssertions.ContainsTextOptions().setTimeout(90_000));
        likely.locator("a").click();
        assertThat(page.locator("#causes > li").first().locator(".likely-words"))
                .containsText(Pattern.compile("[a-z ]+, (\\d+|over 99|under 1) %"));
        assertThat(page.locator("#causes > li").first()).containsText("Explains: ");
        assertThat(page.locator("#grouped li").first()).isVisible();
        page.locator("#numbers-title + details > summary").click();
        assertThat(page.locator("#numbers table")).hasCount(3);
        String id = page.url().substring(page.url().indexOf("id=") + 3);
        String cause = page.locator("#numbers table")
                .first()
                .locator("tbody th")
                .first()
                .innerText();
        assertThat(gateway.get("/api/v1/diagnoses/" + id).body())
                .contains("\"reasoning\":{")
                .contains("\"cause\":\"" + cause + "\"");
        page.context().close();
    }

    @ParameterizedTest
    @CsvSource({
        "/asset.html, 390, LIGHT",
        "/asset.html?id=t1, 1280, DARK",
        "/asset.html?id=t1, 390, LIGHT",
        "/tests.html, 1280, LIGHT",
        "/tests.html, 390, DARK",
        "/links.html, 1280, LIGHT",
        "/links.html, 390, DARK",
        "diagnosis, 1280, LIGHT",
        "diagnosis, 390, DARK"
    })
    void axeFindsNothingSeriousOnTheOtherPages(String path, int width, ColorScheme scheme) {
        Page page = browser.page(width, 800, scheme, ReducedMotion.NO_PREFERENCE);
        if (path.equals("diagnosis")) {
            open(page)
                    .locator("#needs .likely:not([hidden]) a")
                    .first()
                    .click(new Locator.ClickOptions().setTimeout(90_000));
            assertThat(page.locator("#causes > li").first()).isVisible();
        } else {
            openOther(
                    page,
                    path,
                    path.startsWith("/tests")
                            ? "#points option"
                            : path.startsWith("/links")
                                    ? "#links li"
                                    : path.contains("id=") ? ".monitor tbody tr" : "#assets li");
        }
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true");
        assertThat(Accessibility.serious(page)).isEmpty();
        assertThat((Boolean)
                        page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"))
                .as("no sideways scrolling at " + width)
                .isTrue();
        page.context().close();
    }

    @Test
    void thePagesAreLight() throws Exception {
        Page page = browser.page(1280, 800);
        List<Response> answers = new ArrayList<>();
        page.onResponse(answers::add);
        openOther(page, "/asset.html?id=t1", ".monitor tbody tr");
        // Asked for only now: within the handler the next answers wait, and some were not counted.
        long bytes = List.copyOf(answers).stream()
                .filter(answer -> !answer.url().contains("/api/"))
                .mapToLong(answer -> answer.body().length)
                .sum();
        assertThat(bytes).as("bytes of page, style and scripts, not compressed").isBetween(10_000L, 100_000L);
        page.context().close();
    }
}
