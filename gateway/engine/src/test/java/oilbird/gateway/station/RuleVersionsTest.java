package oilbird.gateway.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class RuleVersionsTest {
    @TempDir
    Path data;

    private RuleVersions versions() {
        return new RuleVersions(data);
    }

    @Test
    void everyVersionThatWasInForceIsKeptWithItsFiles() throws IOException {
        assertThat(versions().history()).isEmpty();
        assertThat(versions().previous()).isEmpty();
        versions().taken("aa", Map.of("rules/one.yaml", "first"));
        versions().taken("bb", Map.of("rules/one.yaml", "second"));
        versions().taken("bb", Map.of("rules/one.yaml", "second"));
        assertThat(versions().history()).containsExactly("aa", "bb");
        assertThat(versions().previous()).contains("aa");
        assertThat(versions().files("aa")).containsExactly(Map.entry("rules/one.yaml", "first"));
        assertThat(versions().files("bb")).containsExactly(Map.entry("rules/one.yaml", "second"));
    }

    @Test
    void aStartKeepsToTheVersionThatAPersonWentBackToWhileTheFolderStaysAsItWas() throws IOException {
        versions().taken("aa", Map.of("rules/one.yaml", "first"));
        versions().taken("bb", Map.of("rules/one.yaml", "second"));
        versions().wentBack("bb");
        assertThat(versions().history()).containsExactly("aa");
        assertThat(versions().insteadOf("bb")).contains("aa");
        assertThat(versions().insteadOf("cc")).as("the folder was corrected").isEmpty();
        versions().taken("cc", Map.of("rules/one.yaml", "third"));
        assertThat(versions().insteadOf("bb")).isEmpty();
        assertThat(versions().history()).containsExactly("aa", "cc");
    }

    @Test
    void anUnfinishedCopyIsNoVersion() throws IOException {
        Files.createDirectories(data.resolve("rules/aa.unfinished"));
        Files.writeString(data.resolve("rules/aa.unfinished/one.yaml"), "half");
        versions().taken("aa", Map.of("rules/one.yaml", "whole"));
        assertThat(versions().files("aa")).containsExactly(Map.entry("rules/one.yaml", "whole"));
    }
}
