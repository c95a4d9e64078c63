package oilbird.acceptance;

import static org.junit.jupiter.api.Assumptions.assumeTrue;

import com.microsoft.playwright.BrowserContext;
import com.microsoft.playwright.BrowserType;
import com.microsoft.playwright.Page;
import com.microsoft.playwright.Playwright;
import com.microsoft.playwright.assertions.PlaywrightAssertions;
import com.microsoft.playwright.options.ColorScheme;
import com.microsoft.playwright.options.ReducedMotion;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;

/** Debian's Chromium, driven by Playwright. */
final class Browser implements AutoCloseable {
    private static final Path CHROMIUM = Path.of("/usr/bin/chromium");

    private final Playwright playwright;
    private final com.microsoft.playwright.Browser browser;
    private final List<String> complaints = new ArrayList<>();

    private Browser(Playwright playwright) {
        this.playwright = playwright;
        this.browser = playwright
                .chromium()
                .launch(new BrowserType.LaunchOptions()
                        .setExecutablePath(CHROMIUM)
                        .setArgs(List.of(
                                "--no-sandbox",
                                "--disable-gpu",
                                "--disable-quic",
                                "--no-first-run",
                                "--disable-background-networking",
                                "--disable-component-update",
                                "--disable-sync")));
    }

    /** Leaves the test out, saying why, where there is no Chromium. */
    static Browser start() {
        boolean there = Files.isExecutable(CHROMIUM);
        String reason =
                "LEFT OUT: " + CHROMIUM + " is not there (Debian: apt install chromium), so the page is not tested";
        if (!there) {
            System.out.println(reason);
        }
        assumeTrue(there, reason);
        PlaywrightAssertions.setDefaultAssertionTimeout(30_000);
        return new Browser(Playwright.create(
                new Playwright.CreateOptions().setEnv(Map.of("PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD", "1"))));
    }

    Page page(int width, int height) {
        return page(width, height, ColorScheme.LIGHT, ReducedMotion.NO_PREFERENCE);
    }

    Page page(int width, int height, ColorScheme scheme, ReducedMotion motion) {
        BrowserContext context = browser.newContext(new com.microsoft.playwright.Browser.NewContextOptions()
                .setViewportSize(width, height)
                .setColorScheme(scheme)
                .setReducedMotion(motion));
        context.setDefaultTimeout(40_000);
        Page page = context.newPage();
        page.onPageError(complaints::add);
        page.onConsoleMessage(message -> {
            boolean lostConnection = message.text().contains("net::ERR_");
            if (message.type().equals("error") && !lostConnection) {
                complaints.add(message.text());
            }
        });
        return page;
    }

    /** Errors of scripts, and what the content security policy or the server has refused. */
    List<String> complaints() {
        return complaints;
    }

    @Override
    public void close() {
        browser.close();
        playwright.close();
    }
}
