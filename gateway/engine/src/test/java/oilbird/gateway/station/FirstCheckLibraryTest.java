package oilbird.gateway.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import oilbird.alarm.check.Belief;
import oilbird.alarm.diagnosis.BoundCheck;
import oilbird.alarm.diagnosis.CauseInstance;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.text.Loaded;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The library of causes and first checks of the demo station's five monitors. */
class FirstCheckLibraryTest {
    private static final Path DEMO = Path.of("../../deploy/demo-station");
    private static final Loaded<Station> LOADED = StationFolder.load(DEMO);
    private static final StationCauses NETWORK = LOADED.result()
            .orElseThrow(() -> new IllegalStateException(String.valueOf(LOADED.problems())))
            .model()
            .causes();

    private static BoundCheck check(String id) {
        return NETWORK.check(id).orElseThrow(() -> new AssertionError("no check " + id));
    }

    private static int outcome(BoundCheck check, String finding) {
        List<FirstCheck.Outcome> outcomes = check.check().outcomes();
        for (int i = 0; i < outcomes.size(); i++) {
            if (outcomes.get(i).finding().equals(finding)) {
                return i;
            }
        }
        throw new AssertionError(check.id() + " has no outcome " + finding);
    }

    /** Before anything is known of the signs but that one of these causes is there: by their rates. */
    private static Belief byRates(String device, String... causes) {
        List<CauseInstance> meant = Stream.of(causes)
                .map(c -> NETWORK.cause(device + "." + c).orElseThrow(() -> new AssertionError("no cause " + c)))
                .toList();
        double total =
                meant.stream().mapToDouble(c -> c.cause().rate().perYear()).sum();
        return new Belief(
                meant.stream()
                        .map(c -> new Belief.Hypothesis(
                                List.of(c.id()), c.cause().rate().perYear() / total))
                        .toList(),
                1);
    }

    @Test
    void itPassesTheLinterWithoutAWarning() {
        assertThat(LOADED.problems()).isEmpty();
    }

    @Test
    void itHasAtLeast40CausesAnd60ChecksInTheFaultModels() throws IOException {
        Set<String> causes = NETWORK.causes().stream()
                .filter(c -> c.device() != null)
                .map(c -> c.device().kind().map() + "/" + c.cause().name())
                .collect(Collectors.toSet());
        int inFiles = 0;
        try (Stream<Path> files = Files.list(DEMO.resolve("causes"))) {
            for (Path file : files.toList()) {
                String text = Files.readString(file);
                inFiles += (int) text.substring(text.indexOf("\nfirst_checks:"))
                        .lines()
                        .filter(l -> l.startsWith("    exposure:"))
                        .count();
            }
        }
        assertThat(causes).hasSizeGreaterThanOrEqualTo(40);
        assertThat(inFiles).isGreaterThanOrEqualTo(60);
    }

    /** What a technician meets with such monitors: common practice. */
    @ParameterizedTest
    @ValueSource(
            strings = {
                // cooling fan stopped or slow
                "gas-t1.fan-stopped",
                "gas-t1.fan-bearing-worn",
                "gas-t1.fan-connector-loose",
                "gas-t1.fan-supply-lost",
                "gas-t1.fan-speed-sensor",
                // electronics
                "gas-t1.detection-cell-failed",
                "gas-t1.io-board-failed",
                // analogue inputs
                "cooling-t1.load-input-open",
                "cooling-t1.load-input-saturated",
                "cooling-t1.winding-input-saturated",
                "moisture-t1.saturation-input-saturated",
                // oil flow
                "gas-t1.oil-valve-shut",
                "gas-t1.oil-cold-thick",
                "gas-t1.sample-pump-stopped",
                "gas-t1.oil-line-blocked",
                "gas-t1.flow-sensor-lost",
                "gas-t1.air-in-line",
                // display dark
                "gas-t1.display-cable-loose",
                "gas-t1.display-failed",
                "gas-t1.supply-unit-failed",
                "gas-t1.supply-fuse-blown",
                "aux-t1.failed",
                // communication lost
                "gas-t1.network-cable-broken",
                "gas-t1.converter-failed",
                "gas-t1.address-changed",
                "gas-t1.unit-id-taken",
                "gas-t1.switch-port-down",
                "gas-t1.clock-lost",
                "moisture-t1.moisture-probe-drift",
                "cooling-t1.fans-reversed",
                "cooling-t1.pump-motor",
                "tap-t3.drive-stiff",
                "bushing-t2.sensor-earth-l1",
                // a section of the board that feeds several devices
                "board-b.failed"
            })
    void aCheckTellsOfEachOfThese(String cause) {
        assertThat(NETWORK.cause(cause)).isPresent();
        assertThat(NETWORK.checks().stream().flatMap(d -> d.checks().stream()).filter(c -> c.tellsOf(cause)))
                .isNotEmpty();
    }

    /** Common practice: a fan that turns while its fault is shown points at its speed sensor or wire, or at a slow fan. */
    @Test
    void aFanThatTurnsPointsAtItsSpeedSignalOrASlowFan() {
        Belief before = byRates(
                "gas-t1",
                "fan-stopped",
                "fan-speed-sensor",
                "fan-bearing-worn",
                "fan-connector-loose",
                "fan-supply-lost");
        BoundCheck look = check("gas-t1.look-at-cabinet-fan");

        Belief turns = before.after(look, outcome(look, "it turns evenly and blows outward"));
        Belief slow = before.after(look, outcome(look, "it turns slowly or scrapes"));

        assertThat(before.ranked().get(0).cause()).isNotEqualTo("gas-t1.fan-speed-sensor");
        assertThat(turns.ranked().get(0).cause()).isEqualTo("gas-t1.fan-speed-sensor");
        assertThat(slow.ranked().get(0).cause()).isEqualTo("gas-t1.fan-bearing-worn");
    }

    /**
     * Common practice: a supply is traced from the incoming terminals to switch, fuse and internal supply, so that the
     * first wrong reading names the part.
     */
    @Test
    void aSupplyIsTracedFromTheIncomingTerminalsAndTheFirstWrongReadingNamesThePart() {
        assertThat(check("gas-t1.measure-behind-switch").check().after()).containsExactly("measure-auxiliary-supply");
        assertThat(check("gas-t1.measure-behind-fuse").check().after()).containsExactly("measure-behind-switch");
        BoundCheck incoming = check("gas-t1.measure-auxiliary-supply");
        BoundCheck fuse = check("gas-t1.measure-behind-fuse");
        BoundCheck inside = check("gas-t1.measure-internal-supply");
        Belief dark = byRates("gas-t1", "supply-fuse-blown", "supply-unit-failed", "internal-supply-failing");

        assertThat(incoming.probability(1, "aux-t1.failed")).isGreaterThan(0.9);
        assertThat(fuse.provedBy(1)).isEqualTo("gas-t1.supply-fuse-blown");
        assertThat(dark.after(incoming, 0)
                        .after(fuse, 0)
                        .after(inside, outcome(inside, "nothing"))
                        .ranked()
                        .get(0)
                        .cause())
                .isEqualTo("gas-t1.supply-unit-failed");
    }

    @Test
    void aFusesContinuityIsMeasuredOnlyIsolated() {
        FirstCheck fuse = check("gas-t1.test-fan-fuse").check();

        assertThat(fuse.measurement()).isNotNull();
        assertThat(fuse.measurement().energised()).isFalse();
        assertThat(fuse.work().prepared()).containsAll(oilbird.mapping.signal.Work.Preparation.isolation());
    }

    /** Limits that the trade knows of real devices are no limits of these invented ones. */
    @Test
    void itsLimitsAreItsOwn() throws IOException {
        List<String> texts = new ArrayList<>();
        for (String folder : List.of("causes", "maps")) {
            try (Stream<Path> files = Files.list(DEMO.resolve(folder))) {
                for (Path file : files.toList()) {
                    texts.add(Files.readString(file));
                }
            }
        }
        assertThat(texts)
                .hasSize(10)
                .allSatisfy(t -> assertThat(t)
                        .doesNotContain("13.25")
                        .doesNotContain("13.75")
                        .doesNotContain("13.5 V")
                        .doesNotContain("100 to 240")
                        .doesNotContain("100 to 220"));
    }

    /** A gas loop is watched for two analyses, a supply for minutes: common practice. */
    @Test
    void everyCauseHasItsOwnProvingTime() {
        assertThat(NETWORK.cause("gas-t1.oil-valve-shut")
                        .orElseThrow()
                        .cause()
                        .proving()
                        .analyses())
                .isEqualTo(2);
        assertThat(NETWORK.cause("gas-t1.internal-supply-failing")
                        .orElseThrow()
                        .cause()
                        .proving()
                        .quiet()
                        .toMinutes())
                .isLessThanOrEqualTo(60);
    }
}
