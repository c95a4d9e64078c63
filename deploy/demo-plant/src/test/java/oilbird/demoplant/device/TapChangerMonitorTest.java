package oilbird.demoplant.device;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.Objects;
import oilbird.demoplant.plant.Plant;
import org.junit.jupiter.api.Test;

/** The expected register contents are worked by hand from the maker's list. */
class TapChangerMonitorTest {
    private static final int VALID = 1 << 15;
    private static final Duration NOON = Duration.ofHours(6);

    private final Plant plant = Plant.windlow(7);
    private final Registers tap = new Registers(plant, "tap-t3", 3);

    private long operations(Duration time) {
        return (long) tap.monitor().value("operations", time.toMillis());
    }

    @Test
    void aHealthyTapChangerOperatesSomeTwentyTimesADayAndIsBetweenTapsForFiveSeconds() {
        assertThat(operations(Duration.ofHours(24)) - operations(Duration.ZERO)).isBetween(10L, 40L);
        int inProgress = 0;
        for (int second = 0; second < 24 * 3_600; second++) {
            int word = tap.at(Duration.ofSeconds(second), 0);
            assertThat(word | 1).as("second %d", second).isEqualTo(VALID | 1);
            inProgress += word & 1;
        }
        assertThat(inProgress).isBetween(50, 250);
    }

    /** 48215 = 0000BC57h, high word first; 2.40 A = 240 = 00F0h; 230.0 V = 2300 = 08FCh; no value FFFFh. */
    @Test
    void heldReadingsAreCodedAsTheMakerLists() {
        tap.hold("operations", 48_215);
        tap.hold("motor-current", 2.40);
        tap.hold("drive-supply", 230.0);
        tap.hold("tap-position", Double.NaN);
        assertThat(tap.hex(NOON, 1, 3)).isEqualTo("FFFF 0000 BC57");
        assertThat(tap.hex(NOON, 5, 1)).isEqualTo("00F0");
        assertThat(tap.hex(NOON, 9, 1)).isEqualTo("08FC");
    }

    /** 2026-10-05 12:00 UTC is 1791201600 = 6AC35540h; worked with date(1). */
    @Test
    void theClockIsInUnixSecondsHighWordFirst() {
        long seconds = Plant.INVENTED_MORNING.plus(NOON).getEpochSecond();
        assertThat(tap.hex(NOON, 12, 2)).isEqualTo(String.format("%04X %04X", seconds >>> 16, seconds & 0xFFFF));
        assertThat(seconds).isEqualTo(1_791_201_600L);
    }

    @Test
    void anIncompleteTapChangeShowsWithinTwentySecondsAndMakesGasLater() {
        plant.inject("tap-change-incomplete", "t3", NOON);
        assertThat(tap.at(NOON.plusSeconds(5), 0)).isEqualTo(VALID | 0b1_0001);
        assertThat(tap.at(NOON.plusSeconds(21), 0)).isEqualTo(VALID | 0b1_0011);
        assertThat(tap.at(NOON.plusSeconds(21), 1)).as("no position").isEqualTo(0xFFFF);
        assertThat(tap.at(NOON.plusSeconds(21), 10)).as("tenths of a second").isEqualTo(210);
        Monitor gas = Objects.requireNonNull(plant.monitors().get("gas-t3"));
        long late = NOON.plusHours(4).toMillis();
        assertThat(gas.value("acetylene", late)).isGreaterThan(20);
    }

    @Test
    void aTrippedDriveCarriesOutNoCommand() {
        plant.inject("drive-protection-tripped", "tap-t3", Duration.ZERO);
        assertThat(operations(Duration.ofHours(24))).isEqualTo(operations(Duration.ofMinutes(1)));
        assertThat(tap.at(NOON, 0)).isEqualTo(VALID | 0b100);
    }

    @Test
    void aBrokenShaftLetsThePositionCountOnWithHalfTheUsualCurrentAndNoBit() {
        plant.inject("drive-shaft-broken", "tap-t3", Duration.ofHours(1));
        assertThat(tap.monitor().value("motor-current", NOON.toMillis())).isBetween(1.0, 1.2);
        assertThat(operations(Duration.ofHours(24)) - operations(NOON)).isPositive();
        assertThat(tap.at(NOON, 0) | 1).isEqualTo(VALID | 1);
    }

    @Test
    void hotContactsFollowTheLoadAndADriftingSensorDoesNot() {
        plant.inject("selector-contacts-hot", "t3", Duration.ZERO);
        Duration low = Duration.ofHours(70);
        Duration high = Duration.ofHours(60);
        double atLow = over(low);
        double atHigh = over(high);
        assertThat(plant.transformer("t3").load(high.toMillis()))
                .isGreaterThan(plant.transformer("t3").load(low.toMillis()) + 0.15);
        assertThat(atHigh - atLow).isGreaterThan(3);
        assertThat(tap.at(high, 0) & 1 << 8).isNotZero();
    }

    private double over(Duration time) {
        long at = time.toMillis();
        return tap.monitor().value("selector-oil-temperature", at)
                - tap.monitor().value("tank-oil-temperature", at);
    }
}
