package oilbird.gateway.modbus;

import static oilbird.gateway.modbus.PollingRig.FAST;
import static oilbird.gateway.modbus.PollingRig.PATIENT;
import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import oilbird.gateway.station.ModbusRtuEndpoint;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;

/**
 * The silences that a station file states for single units, seen from the far end of a real serial line. A slow
 * machine makes a silence longer, never shorter, so only the shortest of many is compared with what was stated.
 */
@Timeout(value = 60, unit = TimeUnit.SECONDS)
final class PausesOnTheLineTest {
    private static final Duration STATED = Duration.ofMillis(60);
    private static final int SLOW = 11;
    private static final int QUICK = 12;

    @TempDir
    @SuppressWarnings("NullAway") // set before each test
    Path folder;

    /** When a request was whole and when its answer began, at the far end. */
    private record Seen(int unit, long requestedAt, long answeredAt) {}

    private final List<Seen> seen = new CopyOnWriteArrayList<>();

    private void note(RawUnit.Request request) throws IOException {
        long requested = System.nanoTime();
        byte[] answer = request.registers(1);
        seen.add(new Seen(request.unit(), requested, System.nanoTime()));
        request.send(answer);
    }

    /** Silences before the requests to a unit and, by the unit that spoke last, before those to any other. */
    private Map<String, Duration> shortest(Duration gap, Duration turnaround) throws Exception {
        try (RawUnit units = RawUnit.onPort(this::note, folder);
                PollingRig rig = new PollingRig(
                        PollingRig.session(
                                "slow",
                                new ModbusRtuEndpoint(units.line(), SLOW, PATIENT, gap, turnaround, Duration.ZERO),
                                FAST),
                        PollingRig.session("quick", units.endpoint(QUICK, PATIENT), FAST))) {
            PollingRig.awaitUntil(
                    "each unit is asked after the other, often",
                    () -> silences(SLOW, QUICK).size() >= 20
                            && silences(QUICK, SLOW).size() >= 20);
            assertThat(rig.status("slow").counts().faults()).isEmpty();
            return Map.of(
                    "before the slow", Duration.ofNanos(least(silences(QUICK, SLOW))),
                    "after the slow", Duration.ofNanos(least(silences(SLOW, QUICK))));
        }
    }

    private List<Long> silences(int of, int before) {
        List<Long> found = new ArrayList<>();
        for (int i = 1; i < seen.size(); i++) {
            if (seen.get(i - 1).unit() == of && seen.get(i).unit() == before) {
                found.add(seen.get(i).requestedAt() - seen.get(i - 1).answeredAt());
            }
        }
        return found;
    }

    private static long least(List<Long> silences) {
        return silences.stream().mapToLong(Long::longValue).min().orElseThrow();
    }

    @Test
    void aUnitsGapIsKeptBeforeItsRequestsAndNotBeforeOthers() throws Exception {
        Map<String, Duration> shortest = shortest(STATED, Duration.ZERO);
        assertThat(shortest.get("before the slow")).isGreaterThanOrEqualTo(STATED);
        assertThat(shortest.get("after the slow")).isLessThan(STATED);
    }

    @Test
    void aUnitsTurnaroundIsKeptAfterItsAnswersAndNotAfterOthers() throws Exception {
        Map<String, Duration> shortest = shortest(Duration.ZERO, STATED);
        assertThat(shortest.get("after the slow")).isGreaterThanOrEqualTo(STATED);
        assertThat(shortest.get("before the slow")).isLessThan(STATED);
    }

    /** MODBUS over Serial Line V1.02, 2.5.1.1. */
    @Test
    void withoutAnythingStatedTheLinesOwnSilenceIsKept() throws Exception {
        Map<String, Duration> shortest = shortest(Duration.ZERO, Duration.ZERO);
        assertThat(shortest.values())
                .allSatisfy(silence -> assertThat(silence).isGreaterThanOrEqualTo(Duration.ofNanos(1_750_000)));
    }
}
