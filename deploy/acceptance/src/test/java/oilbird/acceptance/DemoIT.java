package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.charset.StandardCharsets;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

/** The two-minute demo, run as the README says. */
class DemoIT {
    @Test
    void theDemoExplainsAtLeastFourAlarmsAndNamesThePage() throws Exception {
        Process demo = new ProcessBuilder(
                        GatewayProcess.root().resolve("deploy/oilbird").toString(), "demo", "--for", "120s")
                .redirectErrorStream(true)
                .start();
        String output = new String(demo.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(demo.waitFor(240, TimeUnit.SECONDS)).isTrue();

        assertThat(demo.exitValue()).as(output).isZero();
        assertThat(output.lines().filter(line -> line.strip().startsWith("First check:")))
                .as(output)
                .hasSizeGreaterThanOrEqualTo(4);
        assertThat(output).containsPattern("http://127\\.0\\.0\\.1:\\d+/");
    }
}
