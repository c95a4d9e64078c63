package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Map;
import java.util.Random;
import java.util.TreeMap;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The heap against a sorted map of the standard library. */
class DeadlinesTest {
    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4})
    void givesTheSameOwnersInTheSameOrderAsASortedMap(long seed) {
        Random random = new Random(seed);
        Deadlines deadlines = new Deadlines();
        Map<Integer, Long> naive = new TreeMap<>();
        int owners = 150;
        for (int i = 0; i < owners; i++) {
            assertThat(deadlines.newOwner()).isEqualTo(i);
        }
        for (int step = 0; step < 20_000; step++) {
            int owner = random.nextInt(owners);
            if (random.nextInt(4) == 0) {
                deadlines.set(owner, Deadlines.NEVER);
                naive.remove(owner);
            } else if (random.nextInt(4) == 0) {
                long now = random.nextInt(1_000);
                int expected = due(naive, now);
                assertThat(deadlines.takeDue(now))
                        .as("seed %d, step %d", seed, step)
                        .isEqualTo(expected);
                naive.remove(expected);
            } else {
                long at = random.nextInt(1_000);
                deadlines.set(owner, at);
                naive.put(owner, at);
            }
            long earliest =
                    naive.values().stream().mapToLong(Long::longValue).min().orElse(Deadlines.NEVER);
            assertThat(deadlines.earliest()).as("seed %d, step %d", seed, step).isEqualTo(earliest);
        }
    }

    private static int due(Map<Integer, Long> naive, long now) {
        int found = -1;
        for (Map.Entry<Integer, Long> entry : naive.entrySet()) {
            Long best = naive.get(found);
            if (entry.getValue() <= now && (best == null || entry.getValue() < best)) {
                found = entry.getKey();
            }
        }
        return found;
    }
}
