package oilbird.gateway.webhook;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class VerdictTest {
    /** Status codes of RFC 9110, 15, and RFC 6585. */
    @ParameterizedTest
    @CsvSource({
        "200, TAKEN",
        "202, TAKEN",
        "204, TAKEN",
        "301, LATER",
        "307, LATER",
        "400, REFUSED",
        "413, REFUSED",
        "415, REFUSED",
        "422, REFUSED",
        "401, LATER",
        "403, LATER",
        "404, LATER",
        "405, LATER",
        "408, LATER",
        "410, LATER",
        "429, LATER",
        "500, FAILED",
        "502, LATER",
        "503, LATER",
        "504, LATER",
    })
    void anAnswerBlamesTheEventTheWayOrNobody(int status, Verdict expected) {
        assertThat(Verdict.of(status)).isEqualTo(expected);
    }

    @Test
    void anEventIsGivenUpOnlyWhileOthersAreTakenAndOnlyAfterTheStatedTime() {
        long hour = Duration.ofHours(1).toNanos();
        Stubborn alone = new Stubborn(Duration.ofHours(1));
        for (int i = 0; i < 1_000; i++) {
            assertThat(alone.failed("a", i * hour)).as("nothing is taken").isFalse();
        }
        Stubborn among = new Stubborn(Duration.ofHours(1));
        for (int i = 0; i < 1_000; i++) {
            among.taken("b");
            assertThat(among.failed("a", i)).as("not an hour yet").isFalse();
        }
        assertThat(among.failed("a", hour)).isTrue();
        assertThat(among.failed("a", hour + 1)).as("it begins anew").isFalse();
    }
}
