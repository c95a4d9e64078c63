package oilbird.demoplant;

import static org.assertj.core.api.Assertions.assertThat;

import org.junit.jupiter.api.Test;

class PlantClockTest {
    @Test
    void everyTenthOfASecondIsOneTickAndALateCallerGetsWhatItMissed() {
        PlantClock clock = new PlantClock(1_000);
        assertThat(clock.ticksDue(1_000)).isZero();
        assertThat(clock.ticksDue(99_999_999 + 1_000)).isZero();
        assertThat(clock.ticksDue(100_000_000 + 1_000)).isEqualTo(1);
        assertThat(clock.ticksDue(100_000_001 + 1_000)).isZero();
        assertThat(clock.ticksDue(1_050_000_000 + 1_000)).isEqualTo(9);
    }
}
