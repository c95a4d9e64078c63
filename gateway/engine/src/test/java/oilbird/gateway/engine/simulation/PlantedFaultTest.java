package oilbird.gateway.engine.simulation;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.logging.Level;
import java.util.logging.Logger;
import oilbird.gateway.engine.simulation.Violation.Promise;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Each promise can be found broken: with the fault planted, some seed of a few finds it, and names the right promise. */
class PlantedFaultTest {
    private static final Logger LOG = Logger.getLogger("oilbird");
    private static final int SEEDS = 60;

    @BeforeAll
    static void quiet() {
        LOG.setLevel(Level.OFF);
    }

    @ParameterizedTest
    @CsvSource({
        "DISK_LOSES_THE_NEWEST, NOTHING_ANNOUNCED_BEFORE_IT_IS_STORED",
        "DISK_LIES_UNTIL_THE_POWER_GOES, NO_ANNOUNCED_EVENT_LOST",
        "DISK_FLIPS_A_BYTE, HASH_CHAIN_VALID",
        "INCARNATION_NOT_RAISED, NO_EVENT_ID_TWICE",
        "OCCURRENCE_FORGOTTEN_AT_START, OCCURRENCE_NEVER_DECREASES",
        "BAD_DATA_READ_AS_CLEAR, NOTHING_CLEARED_BY_BAD_OR_DOUBTFUL_DATA",
        "DOUBT_PASSED_OVER, NOTHING_CLEARED_BY_BAD_OR_DOUBTFUL_DATA",
        "SUPPRESSED_ALARM_SOUNDS, SUPPRESSED_IS_NEVER_ANNUNCIATED",
        "SUPPRESSED_ALARM_NOT_EVALUATED, WHAT_HOLDS_IS_ACTIVE_IN_THE_RECORD",
        "EVENT_DROPPED_BEFORE_THE_COMMIT, EVERYTHING_FOLDED_IS_ANNOUNCED",
        "LINK_CONFIRMS_WHAT_NEVER_ARRIVED, ORDER_KEPT_AT_THE_PEER",
        "LINK_SWAPS_EVENTS, ORDER_KEPT_AT_THE_PEER",
        "LINK_SWALLOWS_NOTICES, EVERYTHING_REACHES_THE_PEER",
        "FRESH_ALARM_LEAVES_ITS_PAST_BEHIND, ORDER_KEPT_AT_THE_PEER",
        "FILTER_PASSED_OVER, WHAT_IS_FILTERED_IS_NOT_TOLD",
        "FOLD_THROWS, THE_FOLD_NEVER_THROWS",
        "MAINTENANCE_PASSED_OVER, MAINTENANCE_IS_NO_SAMPLE",
        "FORCED_READING_TAKEN_FOR_TRUE, A_POINT_TEST_CHANGES_NOTHING",
        "POINT_TEST_NEVER_ENDS, WHAT_PERSONS_SET_ASIDE_COMES_BACK",
    })
    void aPlantedFaultIsFoundAndTheRightPromiseNamed(PlantedFault fault, Promise broken) {
        for (long seed = 1; seed <= SEEDS; seed++) {
            try {
                SeededRun.of(seed, Store.inMemory(), fault);
            } catch (Violation found) {
                assertThat(found.promise()).as(found.getMessage()).isEqualTo(broken);
                assertThat(found.getSuppressed()[0].getMessage()).contains("-Doilbird.seed=" + seed + "\n");
                return;
            }
        }
        throw new AssertionError("none of " + SEEDS + " seeds found " + fault);
    }
}
