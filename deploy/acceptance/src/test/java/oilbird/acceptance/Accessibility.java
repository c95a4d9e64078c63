package oilbird.acceptance;

import com.deque.html.axecore.playwright.AxeBuilder;
import com.microsoft.playwright.Page;
import java.util.List;

/** What axe-core finds on a page by WCAG 2.2 AA and best practice. */
final class Accessibility {
    private static final List<String> RULES =
            List.of("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice");

    private Accessibility() {}

    /** Serious and critical findings, in words. */
    static List<String> serious(Page page) {
        return new AxeBuilder(page)
                .withTags(RULES).analyze().getViolations().stream()
                        .filter(rule -> List.of("serious", "critical").contains(rule.getImpact()))
                        .map(rule -> rule.getId() + ": " + rule.getHelp() + " " + rule.getNodes())
                        .toList();
    }
}
