package oilbird.gateway.engine.outbox;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.time.Instant;
import oilbird.mapping.signal.Moment;
import org.junit.jupiter.api.Test;

class DailyVolumeTest {
    private static final long MORNING = Instant.parse("2026-11-30T09:00:00Z").toEpochMilli();

    /** So long after the start, by the monotonic clock; the wall clock is off by so much more. */
    private static Moment after(Duration time, Duration wallOff, boolean trusted) {
        return new Moment(1 + time.toNanos(), MORNING + time.toMillis() + wallOff.toMillis(), trusted);
    }

    private static Moment after(Duration time) {
        return after(time, Duration.ZERO, true);
    }

    @Test
    void aDayEndsAtMidnightUtc() {
        DailyVolume volume = new DailyVolume(0, 0, after(Duration.ZERO));
        volume.add(1_000, after(Duration.ofHours(1)));
        volume.add(500, after(Duration.ofHours(14)));
        assertThat(volume.today(after(Duration.ofHours(14)))).isEqualTo(1_500);
        volume.add(70, after(Duration.ofHours(15).plusSeconds(1)));
        assertThat(volume.today(after(Duration.ofHours(16)))).isEqualTo(70);
    }

    @Test
    void aClockThatIsSetBackGivesNoSecondBudgetForTheDay() {
        DailyVolume volume = new DailyVolume(0, 0, after(Duration.ZERO));
        volume.add(1_000, after(Duration.ofHours(1)));
        Moment yesterday = after(Duration.ofHours(2), Duration.ofDays(-1), true);
        assertThat(volume.today(yesterday)).isEqualTo(1_000);
        assertThat(volume.today(after(Duration.ofHours(3))))
                .as("and right again")
                .isEqualTo(1_000);
    }

    @Test
    void aClockThatWasFarAheadForAMomentDoesNotStopDaysFromEnding() {
        DailyVolume volume = new DailyVolume(0, 0, after(Duration.ZERO));
        Moment nextYear = after(Duration.ofHours(1), Duration.ofDays(365), true);
        volume.add(1_000, nextYear);
        assertThat(volume.today(after(Duration.ofHours(2)))).isEqualTo(1_000);
        assertThat(volume.today(after(Duration.ofHours(26)))).isZero();
        volume.add(10, after(Duration.ofHours(27)));
        assertThat(volume.today(after(Duration.ofHours(40))))
                .as("the next midnight")
                .isZero();
    }

    @Test
    void withoutATrustedClockADayIsTwentyFourHours() {
        DailyVolume volume = new DailyVolume(0, 0, after(Duration.ZERO, Duration.ZERO, false));
        volume.add(1_000, after(Duration.ofHours(1), Duration.ZERO, false));
        assertThat(volume.today(after(Duration.ofHours(16), Duration.ZERO, false)))
                .isEqualTo(1_000);
        assertThat(volume.today(after(Duration.ofHours(24), Duration.ZERO, false)))
                .isZero();
    }

    @Test
    void whatWasSentBeforeARestartCounts() {
        DailyVolume before = new DailyVolume(0, 0, after(Duration.ZERO));
        before.add(1_000, after(Duration.ofHours(1)));
        long today = before.today(after(Duration.ofHours(1)));
        DailyVolume again = new DailyVolume(before.day(), today, after(Duration.ofHours(2)));
        assertThat(again.today(after(Duration.ofHours(2)))).isEqualTo(1_000);
        DailyVolume nextDay = new DailyVolume(before.day(), today, after(Duration.ofHours(30)));
        assertThat(nextDay.today(after(Duration.ofHours(30)))).isZero();
    }
}
