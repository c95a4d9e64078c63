package oilbird.demoplant;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import java.util.concurrent.atomic.AtomicLong;
import org.junit.jupiter.api.Test;

class PlantClockTest {
    private final AtomicLong machine = new AtomicLong(1_000);

    @Test
    void plantTimeRunsSoManyTimesAsFastFromTheAgreedInstantOn() {
        PlantClock clock = new PlantClock(5_000, 240, machine::get);
        assertThat(clock.millis()).as("4 s before the agreed instant").isEqualTo(-960_000);
        machine.set(5_000);
        assertThat(clock.millis()).isZero();
        machine.set(20_000);
        assertThat(clock.millis()).as("15 s at 240 times").isEqualTo(3_600_000);
    }

    @Test
    void aRateThatIsNoneIsRefused() {
        for (double rate : new double[] {0, -1, Double.NaN, 10_001}) {
            assertThatIllegalArgumentException().isThrownBy(() -> new PlantClock(0, rate, machine::get));
        }
    }
}
