package oilbird.demoplant.plant;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import oilbird.demoplant.course.Answering;
import oilbird.demoplant.course.PlayableFault;
import oilbird.demoplant.device.Monitor;
import org.junit.jupiter.api.Test;

class PlantTest {
    private static final Duration DAY = Duration.ofHours(24);

    private static String shown(Plant plant, String device, Duration time) {
        MonitorState state = plant.at(device, time);
        var image = state.image();
        return state.answering() + " " + state.nameplate() + " "
                + Arrays.toString(image.cells(2, 0, image.discreteInputCount()))
                + Arrays.toString(image.cells(3, 0, image.holdingRegisterCount()))
                + Arrays.toString(image.cells(4, 0, image.inputRegisterCount()))
                + state.nodes();
    }

    private static Plant troubled() {
        return Plant.windlow(3)
                .inject("oil-valve-shut", "gas-t1", Duration.ofHours(2), Duration.ofHours(4))
                .inject("auxiliary-supply-lost", "aux-t1", Duration.ofHours(5), Duration.ofHours(6))
                .inject("arcing", "t2", Duration.ofHours(3))
                .inject("tap-change-incomplete", "t3", Duration.ofHours(8), Duration.ofHours(9));
    }

    @Test
    void whatIsShownAtATimeDoesNotDependOnWhatWasAskedBefore() {
        Plant forward = troubled();
        Plant anyOrder = troubled();
        List<Integer> minutes = new ArrayList<>();
        for (int minute = 0; minute < 14 * 60; minute += 13) {
            minutes.add(minute);
        }
        List<Integer> mixed = new ArrayList<>(minutes);
        java.util.Collections.shuffle(mixed, new java.util.Random(5));
        for (String device : forward.monitors().keySet()) {
            List<String> expected = new ArrayList<>();
            minutes.forEach(minute -> expected.add(shown(forward, device, Duration.ofMinutes(minute))));
            mixed.forEach(minute -> shown(anyOrder, device, Duration.ofMinutes(minute)));
            for (int i = 0; i < minutes.size(); i++) {
                assertThat(shown(anyOrder, device, Duration.ofMinutes(minutes.get(i))))
                        .as("%s at minute %d", device, minutes.get(i))
                        .isEqualTo(expected.get(i));
            }
        }
    }

    @Test
    void aFaultInjectedLaterForAnEarlierTimeIsAsIfItHadAlwaysBeenThere() {
        Plant early = Plant.windlow(3).inject("oil-valve-shut", "gas-t1", Duration.ofHours(2));
        Plant late = Plant.windlow(3);
        String before = shown(late, "gas-t1", Duration.ofHours(5));
        late.inject("oil-valve-shut", "gas-t1", Duration.ofHours(2));
        assertThat(shown(late, "gas-t1", Duration.ofHours(5)))
                .isEqualTo(shown(early, "gas-t1", Duration.ofHours(5)))
                .isNotEqualTo(before);
    }

    @Test
    void anotherSeedIsOtherNoise() {
        assertThat(shown(Plant.windlow(1), "gas-t1", DAY)).isNotEqualTo(shown(Plant.windlow(2), "gas-t1", DAY));
    }

    @Test
    void onAHealthyDayNoMonitorShowsTrouble() {
        List<String> usual = List.of(
                "fan-group-1-running",
                "fan-group-2-running",
                "pump-running",
                "remote-control",
                "analysis-state:0",
                "analysis-state:1",
                "analysis-state:2",
                "self-test-passed",
                "status-valid",
                "tap-change-in-progress",
                "refresh-running",
                "probe-state:0",
                "probe-state:1");
        for (int seed = 1; seed <= 5; seed++) {
            Plant plant = Plant.windlow(seed);
            for (Monitor monitor : plant.monitors().values()) {
                for (long at = 0; at < 3 * DAY.toMillis(); at += 97_000) {
                    for (var bit : monitor.bits()) {
                        if (monitor.isSet(bit, at)) {
                            assertThat(bit.name())
                                    .as("seed %d, %s at %d s", seed, monitor.name(), at / 1_000)
                                    .isIn(usual);
                        }
                    }
                    assertThat(plant.answering(monitor.name(), at)).isEqualTo(Answering.ANSWERS);
                }
            }
        }
    }

    /** A fault that nobody could see anywhere would be no fault to test with. */
    @Test
    void everyFaultOfTheCatalogueChangesSomethingThatAGatewayCanSee() {
        SplittableRandom random = new SplittableRandom(11);
        List<String> invisible = new ArrayList<>();
        int played = 0;
        for (String target : Plant.windlow(1).targets()) {
            for (PlayableFault fault : Plant.windlow(1).playableAt(target)) {
                Plant healthy = Plant.windlow(1);
                Plant ill = Plant.windlow(1);
                if (fault.name().equals("oil-cold-thick")) {
                    healthy.inject("cold-spell", "weather", Duration.ZERO);
                    ill.inject("cold-spell", "weather", Duration.ZERO);
                } else if (fault.name().equals("surface-wet")) {
                    healthy.inject("rain", "weather", Duration.ZERO);
                    ill.inject("rain", "weather", Duration.ZERO);
                }
                ill.inject(fault.name(), target, Duration.ofHours(2));
                boolean seen = false;
                for (int i = 0; i < 40 && !seen; i++) {
                    Duration time = Duration.ofHours(2).plusMinutes(i == 0 ? 1 : i * 70L + random.nextInt(60));
                    for (String device : healthy.monitors().keySet()) {
                        seen |= !shown(healthy, device, time).equals(shown(ill, device, time));
                    }
                }
                played++;
                if (!seen && isSeenOnThisTransformer(fault.name(), target)) {
                    invisible.add(fault.name() + " at " + target);
                }
            }
        }
        assertThat(invisible).isEmpty();
        assertThat(played).isGreaterThan(150);
    }

    /** Trouble of a tap changer or bushing is seen where such a monitor stands; so is water. */
    private static boolean isSeenOnThisTransformer(String fault, String target) {
        return switch (fault) {
            case "tap-change-incomplete" -> true;
            case "selector-contacts-hot" -> target.equals("t3");
            case "bushing-layer-breakdown", "bushing-moist" -> target.equals("t2");
            case "water-ingress" -> target.equals("t1");
            case "rain" -> false;
            default -> true;
        };
    }

    @Test
    void aLostSupplySilencesItsDevicesWhichThenTestThemselves() {
        Plant plant =
                Plant.windlow(1).inject("auxiliary-supply-lost", "aux-t1", Duration.ofHours(2), Duration.ofHours(3));
        Duration within = Duration.ofMinutes(150);
        for (String device : List.of("gas-t1", "cooling-t1", "moisture-t1")) {
            assertThat(plant.at(device, within).answering()).as(device).isEqualTo(Answering.SILENT);
        }
        assertThat(plant.at("gas-t2", within).answering()).isEqualTo(Answering.ANSWERS);
        MonitorState after = plant.at("gas-t1", Duration.ofMinutes(182));
        assertThat(after.answering()).isEqualTo(Answering.ANSWERS);
        assertThat(after.image().cells(4, 0, 1)[0] & 0x8000)
                .as("status not valid yet")
                .isZero();
        assertThat(plant.at("gas-t1", Duration.ofMinutes(190)).image().cells(4, 0, 1)[0] & 0x8000)
                .isNotZero();
    }

    @Test
    void aBrokenSerialLineIsAnsweredForByItsGatewayAndADeadGatewayTakesNoConnection() {
        Plant plant = Plant.windlow(1)
                .inject("serial-line-broken", "line-t3", Duration.ofHours(1), Duration.ofHours(2))
                .inject("modbus-gateway-down", "gateway-t3", Duration.ofHours(3));
        assertThat(plant.at("tap-t3", Duration.ofMinutes(90)).answering()).isEqualTo(Answering.TARGET_FAILED);
        assertThat(plant.at("gas-t3", Duration.ofMinutes(90)).answering()).isEqualTo(Answering.ANSWERS);
        assertThat(plant.at("gas-t3", Duration.ofHours(4)).answering()).isEqualTo(Answering.REFUSES);
    }

    @Test
    void aFaultThatCannotBefallItsTargetIsRefusedWithWhatCan() {
        Plant plant = Plant.windlow(1);
        assertThatIllegalArgumentException()
                .isThrownBy(() -> plant.inject("fan-stopped", "tap-t3", Duration.ZERO))
                .withMessageContaining("drive-stiff");
        assertThatIllegalArgumentException()
                .isThrownBy(() -> plant.inject("fan-stopped", "gas-t7", Duration.ZERO))
                .withMessageContaining("gas-t1");
        assertThatIllegalArgumentException().isThrownBy(() -> plant.at("gas-t7", Duration.ZERO));
        assertThat(plant.injections()).isEmpty();
    }

    @Test
    void aFaultThatIsEndedIsOverFromThenOn() {
        Plant plant = Plant.windlow(1).inject("service-left-on", "gas-t1", Duration.ofHours(1));
        assertThat(plant.end("service-left-on", "gas-t1", Duration.ofHours(2))).isTrue();
        assertThat(plant.end("service-left-on", "gas-t1", Duration.ofHours(3))).isFalse();
        assertThat(plant.at("gas-t1", Duration.ofMinutes(90)).image().cells(4, 0, 1)[0] & 1 << 6)
                .isNotZero();
        assertThat(plant.at("gas-t1", Duration.ofMinutes(150)).image().cells(4, 0, 1)[0] & 1 << 6)
                .isZero();
    }
}
