package oilbird.demoplant;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatExceptionOfType;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class OptionsTest {
    @Test
    void withoutOptionsTheScenesPlayOnTheStationsPortsUntilToldToQuit() throws Exception {
        Options options = Options.parse(List.of());
        assertThat(options.runFor()).isEmpty();
        assertThat(options.day()).isEqualTo(Options.PlayedDay.AT_ONCE);
        assertThat(options.rate()).isEqualTo(240);
        assertThat(options.origin()).isEmpty();
        assertThat(options.controlRoom()).isTrue();
        assertThat(options.ports()).containsEntry("gas-t1", 15_021).containsEntry("mqtt", 15_883);
    }

    @Test
    void everyOptionIsTaken() throws Exception {
        Options options = Options.parse(List.of(
                "--for",
                "2m",
                "--hold-day",
                "--no-control-room",
                "--ports",
                "http=0,gas-t2=1234",
                "--seed",
                "9",
                "--rate",
                "360",
                "--origin",
                "2026-11-25T10:00:00Z",
                "--shows",
                "2026-11-25T06:00:00Z",
                "--page",
                "8088"));
        assertThat(options.runFor()).contains(Duration.ofSeconds(120));
        assertThat(options.day()).isEqualTo(Options.PlayedDay.HELD);
        assertThat(options.controlRoom()).isFalse();
        assertThat(options.ports())
                .containsEntry("http", 0)
                .containsEntry("gas-t2", 1_234)
                .containsEntry("gas-t1", 15_021);
        assertThat(options.seed()).isEqualTo(9);
        assertThat(options.rate()).isEqualTo(360);
        assertThat(options.origin()).contains(Instant.parse("2026-11-25T10:00:00Z"));
        assertThat(options.shows()).isEqualTo(Instant.parse("2026-11-25T06:00:00Z"));
        assertThat(options.page()).isEqualTo(8_088);
        assertThat(Options.parse(List.of("--ports", "0")).ports().values()).containsOnly(0);
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "--for",
                "--for 5x",
                "--ports gas-t9=1",
                "--ports gas-t1=65536",
                "--ports gas-t1",
                "--seed x",
                "--rate 0",
                "--origin yesterday",
                "demo"
            })
    void aWrongOptionIsRefusedWithAWord(String line) {
        assertThatExceptionOfType(UsageException.class)
                .isThrownBy(() -> Options.parse(List.of(line.split(" "))))
                .withMessageMatching(
                        ".*(needs a value|a time is written|--ports takes|a port is|whole number|takes a number|takes an instant|unknown).*");
    }
}
