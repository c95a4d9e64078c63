package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.charset.StandardCharsets;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

/** The demo's day, run as the README says, in less time; its exit status says whether every scene was answered. */
class DemoIT {
    @Test
    void theDemoPlaysItsDayAndTheGatewaySaysToEverySceneWhatItShould() throws Exception {
        Process demo = new ProcessBuilder(
                        GatewayProcess.root().resolve("deploy/oilbird").toString(), "demo", "--for", "150s")
                .redirectErrorStream(true)
                .start();
        String output = new String(demo.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(demo.waitFor(300, TimeUnit.SECONDS)).isTrue();

        assertThat(demo.exitValue()).as(output).isZero();
        assertThat(output.lines().filter(line -> line.strip().startsWith("First check:")))
                .as(output)
                .hasSizeGreaterThanOrEqualTo(6);
        assertThat(output).containsPattern("http://127\\.0\\.0\\.1:\\d+/").contains("the day is over");
    }
}
