package oilbird.gateway.engine.simulation;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Path;
import java.util.Locale;
import java.util.logging.Level;
import java.util.logging.Logger;
import oilbird.gateway.engine.simulation.SeededRun.Outcome;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * Many lives of the gateway under drops, delays, duplicates, garbage, a bad disk, bad lines to the control rooms, persons
 * who act, and power that goes between any two steps.
 *
 * <p>{@code -Doilbird.seed=N} repeats one run, {@code -Doilbird.seeds=N} makes that many.
 */
class SimulationTest {
    // Kept, so that the level is.
    private static final Logger LOG = Logger.getLogger("oilbird");

    private static final int SEEDS = Integer.getInteger("oilbird.seeds", 200);
    private static final long ONLY = Long.getLong("oilbird.seed", 0);

    @TempDir
    Path folder;

    @BeforeAll
    static void quiet() {
        LOG.setLevel(Level.OFF);
    }

    @Test
    void everyPromiseIsKeptAfterEveryStepOfEverySeed() {
        long first = ONLY > 0 ? ONLY : 1;
        long last = ONLY > 0 ? ONLY : SEEDS;
        long started = System.nanoTime();
        long steps = 0;
        long events = 0;
        long excused = 0;
        long starts = 0;
        for (long seed = first; seed <= last; seed++) {
            Outcome outcome = SeededRun.of(seed);
            steps += outcome.steps();
            events += outcome.events();
            excused += outcome.excused();
            starts += outcome.starts();
        }
        System.out.printf(
                Locale.ROOT,
                "simulation: seeds %d to %d at commit %s on Java %s: %d steps, %d starts of the gateway, %d events announced"
                        + " (of them %d from memory while the disk was full, and never recorded), every promise kept;"
                        + " %.0f s%n",
                first,
                last,
                Commit.ID,
                Runtime.version(),
                steps,
                starts,
                events,
                excused,
                (System.nanoTime() - started) / 1e9);
        assertThat(events).isGreaterThan(last - first);
        assertThat(ONLY > 0 || starts > last).as("the power went").isTrue();
    }
}
