package oilbird.gateway.modbus;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import java.util.TreeSet;
import java.util.stream.IntStream;
import oilbird.gateway.engine.poll.BackOff;
import org.junit.jupiter.api.Test;

/** The schedule and the back-off, on times given as data. */
final class FixedRateTest {
    @Test
    void theGridDoesNotDriftHoweverLateEachPollIs() {
        FixedRate rate = new FixedRate(300, 1000);
        List<Long> slots = new ArrayList<>();
        for (int i = 0; i < 5; i++) {
            slots.add(rate.next());
            assertThat(rate.pass(rate.next() + 170)).isEqualTo(1);
        }
        assertThat(slots).containsExactly(300L, 1300L, 2300L, 3300L, 4300L);
    }

    @Test
    void slotsThatPassedMeanwhileAreCountedAndNotMadeUpFor() {
        FixedRate rate = new FixedRate(300, 1000);
        assertThat(rate.pass(299)).isZero();
        assertThat(rate.pass(4299)).as("300, 1300, 2300, 3300").isEqualTo(4);
        assertThat(rate.next()).isEqualTo(4300);
        assertThat(rate.pass(4300)).isEqualTo(1);
    }

    @Test
    void aBlockIsFirstReadSoonAndThenOnItsGridAndLateSlotsCountAsMissed() {
        LineBlock block = block();
        assertThat(block.dueAt()).as("the early poll").isEqualTo(70);
        assertThat(block.take(75)).isZero();
        assertThat(block.dueAt()).isEqualTo(500);
        assertThat(block.take(501)).isZero();
        assertThat(block.dueAt()).isEqualTo(1500);
        assertThat(block.take(3999))
                .as("1500 and 2500, for which the poll of 3500 stands")
                .isEqualTo(2);
        assertThat(block.dueAt()).isEqualTo(4500);
    }

    @Test
    void aFailedBlockIsReadAtOnceWhenTheDeviceAnswersAgainUnlessItIsSuspended() {
        LineBlock block = block();
        block.take(600);
        block.failed();
        block.holdForBackOff(600);
        block.catchUp(700);
        assertThat(block.dueAt()).as("its own back-off").isBetween(600L + 40, 600L + 50);
        block.endBackOff();
        block.catchUp(700);
        assertThat(block.dueAt()).isEqualTo(700);
        block.take(700);
        block.holdForSuspension(700);
        block.endBackOff();
        block.catchUp(710);
        assertThat(block.dueAt()).isBetween(700L + 9000, 700L + 11_250);
    }

    private static LineBlock block() {
        Random random = new Random(3);
        return new LineBlock(
                PollingRig.FAST,
                new FixedRate(500, 1000),
                70,
                new BackOff(Duration.ofNanos(40), Duration.ofNanos(80), random),
                new BackOff(Duration.ofNanos(9000), Duration.ofNanos(9000), random));
    }

    @Test
    void aThousandDevicesAreSpreadOverThePeriod() {
        int[] inEachTenth = new int[10];
        TreeSet<Double> phases = new TreeSet<>();
        for (int i = 0; i < 1000; i++) {
            double phase = FixedRate.phase("monitor-" + i);
            assertThat(phase).isBetween(0.0, 1.0).isNotEqualTo(1.0);
            phases.add(phase);
            inEachTenth[(int) (phase * 10)]++;
        }
        assertThat(phases).hasSize(1000);
        // An even draw of 1000 puts 100 in each tenth with a standard deviation of 9.5; five of them either way.
        assertThat(IntStream.of(inEachTenth).boxed())
                .allSatisfy(count -> assertThat(count).isBetween(53, 147));
    }

    @Test
    void aDeviceKeepsItsPlaceFromStartToStart() {
        assertThat(FixedRate.phase("gas-t1")).isEqualTo(FixedRate.phase("gas-t1"));
        assertThat(FixedRate.phase("gas-t1")).isNotEqualTo(FixedRate.phase("gas-t2"));
    }

    @Test
    void waitsDoubleUpToTheLongestWithAtMostAQuarterOnTop() {
        BackOff backOff = new BackOff(Duration.ofNanos(1000), Duration.ofNanos(6000), new Random(7));
        for (long base : new long[] {1000, 2000, 4000, 6000, 6000}) {
            assertThat(backOff.take()).isBetween(base, base + base / 4);
        }
        backOff.reset();
        assertThat(backOff.take()).isBetween(1000L, 1250L);
    }

    @Test
    void theSameSeedGivesTheSameWaitsAndAnotherSeedOthers() {
        assertThat(waits(7)).isEqualTo(waits(7)).isNotEqualTo(waits(8));
    }

    private static List<Long> waits(long seed) {
        BackOff backOff = new BackOff(Duration.ofSeconds(1), Duration.ofSeconds(30), new Random(seed));
        return IntStream.range(0, 10).mapToObj(i -> backOff.take()).toList();
    }

    @Test
    void transactionIdsGoRoundAndStayWithinSixteenBits() {
        TransactionIds ids = new TransactionIds(0xFFFE);
        assertThat(List.of(ids.next(), ids.next(), ids.next())).containsExactly(0xFFFE, 0xFFFF, 0);
    }
}
