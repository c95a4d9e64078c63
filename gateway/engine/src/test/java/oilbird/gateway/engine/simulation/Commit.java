package oilbird.gateway.engine.simulation;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.concurrent.TimeUnit;

/** The commit that is tested, for whoever has to repeat a failed run. */
final class Commit {
    static final String ID = read();

    private Commit() {}

    private static String read() {
        try {
            Process git = new ProcessBuilder("git", "describe", "--always", "--dirty", "--abbrev=12")
                    .redirectErrorStream(true)
                    .start();
            String answer = new String(git.getInputStream().readAllBytes(), StandardCharsets.UTF_8).strip();
            return git.waitFor(10, TimeUnit.SECONDS) && git.exitValue() == 0 ? answer : "unknown";
        } catch (IOException e) {
            return "unknown";
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            return "unknown";
        }
    }
}
