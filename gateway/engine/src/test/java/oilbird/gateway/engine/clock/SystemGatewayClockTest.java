package oilbird.gateway.engine.clock;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.time.Duration;
import java.time.Instant;
import java.util.concurrent.atomic.AtomicBoolean;
import oilbird.mapping.signal.Moment;
import org.junit.jupiter.api.Test;

class SystemGatewayClockTest {
    private static final long TODAY = Instant.parse("2026-03-01T12:00:00Z").toEpochMilli();

    private long nanos = 5_000_000_000L;
    private long wall = TODAY;
    private final AtomicBoolean synchronised = new AtomicBoolean(true);
    private final WallTrust trust = WallTrust.ordinary().when(synchronised::get);

    private SystemGatewayClock clock(double rate) {
        return new SystemGatewayClock(rate, trust, () -> nanos, () -> wall);
    }

    private void pass(Duration time) {
        nanos += time.toNanos();
        wall += time.toMillis();
    }

    @Test
    void monotonicTimeStartsAtZeroAndWallTimeIsTheMachines() {
        SystemGatewayClock clock = clock(1);
        pass(Duration.ofSeconds(3));
        assertThat(clock.now()).isEqualTo(new Moment(3_000_000_000L, TODAY + 3_000, true));
        assertThat(clock.takeStep()).isNull();
    }

    @Test
    void aWallClockSetForwardByAnHourIsSeenMarkedAndLeavesMonotonicTimeAlone() {
        SystemGatewayClock clock = clock(1);
        clock.now();
        pass(Duration.ofSeconds(1));
        wall += Duration.ofHours(1).toMillis();

        Moment after = clock.now();
        assertThat(after.monotonicNanos()).isEqualTo(1_000_000_000L);
        assertThat(after.wallTrusted()).isFalse();
        WallStep step = clock.takeStep();
        assertThat(step).isEqualTo(new WallStep(3_600_000, after));
        assertThat(clock.takeStep()).as("a step is taken once").isNull();

        pass(trust.settle().minusSeconds(1));
        assertThat(clock.now().wallTrusted()).isFalse();
        pass(Duration.ofSeconds(1));
        assertThat(clock.now().wallTrusted()).isTrue();
    }

    @Test
    void aWallClockSetBackIsSeenAndMonotonicTimeStillRises() {
        SystemGatewayClock clock = clock(1);
        Moment before = clock.now();
        pass(Duration.ofSeconds(1));
        wall -= Duration.ofHours(1).toMillis();
        Moment after = clock.now();
        assertThat(after.monotonicNanos()).isGreaterThan(before.monotonicNanos());
        assertThat(after.wallMillis()).isLessThan(before.wallMillis());
        assertThat(after.wallTrusted()).isFalse();
        WallStep step = clock.takeStep();
        assertThat(step).isNotNull();
        assertThat(step.stepMillis()).isEqualTo(-3_600_000);
    }

    @Test
    void aBoxThatBootedWithoutTimeIsNotTrustedUntilItsClockIsSetAndIsFromThenOn() {
        wall = 1_000;
        SystemGatewayClock clock = clock(1);
        assertThat(clock.now().wallTrusted()).isFalse();
        pass(Duration.ofMinutes(2));
        wall = TODAY;
        assertThat(clock.now().wallTrusted()).isTrue();
        assertThat(clock.takeStep()).isNotNull();
    }

    @Test
    void slowCorrectionsAreNoStep() {
        SystemGatewayClock clock = clock(1);
        for (int i = 0; i < 10_000; i++) {
            pass(Duration.ofSeconds(1));
            // 500 ppm is the fastest that an operating system corrects a clock gradually (common practice).
            if (i % 2 == 0) {
                wall += 1;
            }
            assertThat(clock.now().wallTrusted()).isTrue();
        }
        assertThat(clock.takeStep()).isNull();
    }

    @Test
    void losingSynchronisationIsMarkedWithinASecond() {
        SystemGatewayClock clock = clock(1);
        synchronised.set(false);
        pass(Duration.ofSeconds(1));
        assertThat(clock.now().wallTrusted()).isFalse();
        synchronised.set(true);
        pass(Duration.ofSeconds(1));
        assertThat(clock.now().wallTrusted()).isTrue();
    }

    @Test
    void aDemoClockRunsBothTimesFasterAndWaitsShorter() {
        SystemGatewayClock clock = clock(60);
        pass(Duration.ofSeconds(1));
        assertThat(clock.now()).isEqualTo(new Moment(60_000_000_000L, TODAY + 60_000, true));
        assertThat(clock.realTimeUntil(120_000_000_000L)).isEqualTo(Duration.ofSeconds(1));
        assertThat(clock.realTimeUntil(0)).isZero();
    }

    @Test
    void aRateOfZeroIsRefused() {
        assertThatThrownBy(() -> clock(0)).hasMessageContaining("rate");
    }

    @Test
    void aFastClockShowsTheAgreedTimeAtTheAgreedInstantAndRunsOnFromThere() {
        wall = 1_800_000_010_000L;
        FastTime fast = new FastTime(240, 1_800_000_000_000L, 1_790_000_000_000L);
        SystemGatewayClock clock = new SystemGatewayClock(fast, WallTrust.ordinary(), () -> nanos, () -> wall);
        assertThat(clock.now().wallMillis())
                .as("10 s after the agreed instant, 240 times as fast")
                .isEqualTo(1_790_000_000_000L + 2_400_000);
        nanos += 5_000_000_000L;
        assertThat(clock.now().wallMillis()).isEqualTo(1_790_000_000_000L + 3_600_000);
        assertThat(clock.rate()).isEqualTo(240);
    }
}
