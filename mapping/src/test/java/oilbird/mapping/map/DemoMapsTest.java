package oilbird.mapping.map;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.signal.Caution;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class DemoMapsTest {
    private static final List<String> GASES =
            List.of("hydrogen", "methane", "acetylene", "ethylene", "ethane", "carbon-monoxide", "carbon-dioxide");

    private static final DeviceMap GAS = DemoMaps.map("hbg-8");
    private static final DeviceMap COOLING = DemoMaps.map("tcc-4");
    private static final DeviceMap MOISTURE = DemoMaps.map("swt-2");
    private static final DeviceMap BUSHINGS = DemoMaps.map("rvb-3");
    private static final DeviceMap TAP_CHANGER = DemoMaps.map("cwt-5");

    private static TrustEffect effect(DeviceMap map, String indication) {
        return map.indication(indication).orElseThrow().makes();
    }

    @ParameterizedTest
    @ValueSource(strings = {"hbg-8", "tcc-4", "swt-2", "rvb-3", "cwt-5"})
    void theMapsOfTheDemoStationHaveNoProblem(String name) {
        assertThat(MapReader.read("maps/" + name + ".yaml", DemoMaps.text(name)).problems())
                .extracting(Problem::toString)
                .isEmpty();
    }

    @Test
    void aStoppedCabinetFanLeavesTheGasesTrustedAndAHotHeatSinkDoesNot() {
        assertThat(effect(GAS, "cabinet-fan-stopped")).isEqualTo(TrustEffect.NONE);
        assertThat(effect(GAS, "heat-sink-hot").doubtful()).isEqualTo(GASES);
    }

    @Test
    void withoutOilFlowAllGasesAreDoubtfulUntilTheFirstAnalysisAfter() {
        assertThat(effect(GAS, "oil-flow-low")).isEqualTo(new TrustEffect(GASES, List.of(), 1));
    }

    @Test
    void aFaultyDetectorMakesTheGasesWorthless() {
        assertThat(effect(GAS, "detector-fault")).isEqualTo(new TrustEffect(List.of(), GASES, 1));
    }

    @Test
    void serviceModeIsService() {
        assertThat(GAS.indication("service-mode").orElseThrow().service()).isTrue();
        assertThat(effect(GAS, "service-mode").doubtful()).isEqualTo(GASES);
    }

    @Test
    void gasesAreAsOldAsTheLastAnalysis() {
        for (String gas : GASES) {
            Point point = GAS.point(gas).orElseThrow();
            assertThat(point.update())
                    .isEqualTo(new UpdatePeriod(Duration.ofHours(1), "analysis-counter", Duration.ofHours(2)));
            assertThat(point.verified()).isNotNull();
        }
    }

    @Test
    void thePlanReadsStatusAndGasesInOneRequestAndTearsNothing() {
        assertThat(GAS.readPlan())
                .extracting(b -> b.pollClass() + " " + b.table().functionCode() + " " + b.start() + "+" + b.count())
                .containsExactly("status 4 0+16", "readings 4 20+6", "rarely 4 30+8");
        assertThat(COOLING.readPlan())
                .extracting(b -> b.pollClass() + " " + b.table().functionCode() + " " + b.start() + "+" + b.count())
                .containsExactly("status 2 0+16", "readings 3 0+10", "status 3 6+1");
    }

    @Test
    void everySignalIsDeliveredByExactlyOneRequest() {
        for (DeviceMap map : List.of(GAS, COOLING)) {
            List<String> readings = new ArrayList<>();
            List<String> indications = new ArrayList<>();
            for (ReadBlock block : map.readPlan()) {
                readings.addAll(map.readingsOf(block));
                indications.addAll(map.indicationsOf(block));
            }
            Set<String> expected = new HashSet<>();
            map.points().forEach(p -> expected.add(p.name()));
            map.words().forEach(w -> w.fields().forEach(f -> expected.add(f.name())));
            assertThat(readings).doesNotHaveDuplicates().hasSameElementsAs(expected);
            assertThat(indications)
                    .doesNotHaveDuplicates()
                    .hasSameElementsAs(map.indications().stream()
                            .map(MappedIndication::name)
                            .filter(name -> map.features().stream()
                                    .noneMatch(feature -> feature.indication().equals(name)))
                            .toList());
        }
    }

    @Test
    void firstChecksBeginAtTheScreenAndCarryTheirCautions() {
        int checks = 0;
        for (DeviceMap map : List.of(GAS, COOLING, MOISTURE, BUSHINGS, TAP_CHANGER)) {
            for (MappedIndication indication : map.indications()) {
                int before = 0;
                for (FirstCheck check : indication.firstChecks()) {
                    assertThat(check.exposure()).as(check.id()).isGreaterThanOrEqualTo(before);
                    assertThat(check.cautions())
                            .as(check.id())
                            .isNotEmpty()
                            .allMatch(caution -> caution.minExposure() <= check.exposure());
                    if (check.exposure() >= 2) {
                        assertThat(check.cautions()).as(check.id()).contains(Caution.S01);
                    }
                    if (check.exposure() >= 3) {
                        assertThat(check.cautions()).as(check.id()).contains(Caution.S03, Caution.S20);
                    }
                    before = check.exposure();
                    checks++;
                }
                if (!indication.firstChecks().isEmpty()) {
                    assertThat(indication.firstChecks().get(0).exposure())
                            .as(indication.name())
                            .isZero();
                }
            }
        }
        assertThat(checks).isGreaterThan(80);
    }

    @Test
    void noTextSaysThatAnythingIsSafeOrDead() {
        for (String name : List.of("hbg-8", "tcc-4", "swt-2", "rvb-3", "cwt-5")) {
            assertThat(DemoMaps.text(name).toLowerCase(java.util.Locale.ROOT))
                    .doesNotContainPattern("\\b(is|are) (safe|dead)\\b");
        }
    }

    @Test
    void theDemoSaysThatItIsInvented() {
        assertThat(GAS.text()).contains("invented");
        assertThat(COOLING.text()).contains("invented");
    }
}
