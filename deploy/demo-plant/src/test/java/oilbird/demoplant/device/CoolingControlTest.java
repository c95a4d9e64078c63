package oilbird.demoplant.device;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.Objects;
import oilbird.demoplant.plant.Plant;
import org.junit.jupiter.api.Test;

/** The expected register contents are worked by hand from the maker's list. */
class CoolingControlTest {
    private static final Duration MORNING = Duration.ofMinutes(30);
    private static final Duration AFTERNOON = Duration.ofHours(14);

    private final Plant plant = Plant.windlow(7);
    private final Registers inputs = new Registers(plant, "cooling-t1", 2);
    private final Registers registers = new Registers(plant, "cooling-t1", 3);

    private int inputs(Duration time) {
        int word = 0;
        for (int bit = 0; bit < 16; bit++) {
            word |= inputs.at(time, bit) << bit;
        }
        return word;
    }

    private double value(String reading, Duration time) {
        return inputs.monitor().value(reading, time.toMillis());
    }

    /** Pump (bit 2) and remote (bit 8) by night; with group 1 (bit 0) when the oil is warm. */
    @Test
    void theDiscreteInputsOfAHealthyControl() {
        assertThat(inputs(MORNING)).isEqualTo(0b1_0000_0100);
        assertThat(inputs(AFTERNOON)).isEqualTo(0b1_0000_0101);
    }

    /** 720 A of 1200 A over 16 mA from 4 mA: 13.6 mA = 13600 = 3520h. 98765 = 000181CDh, high word first. */
    @Test
    void loadAndRunningHoursStandWhereTheMakerPutsThem() {
        registers.hold("load-input", 4 + 16 * 720 / 1_200.0);
        registers.hold("fan-group-1-hours", 98_765);
        assertThat(registers.hex(MORNING, 3, 3)).isEqualTo("3520 0001 81CD");
    }

    /** -32768 = 8000h; 95.4 degC = 954 = 03BAh; 11.98 A = 1198 = 04AEh. */
    @Test
    void temperaturesAreTenthsAndHaveANoValueCode() {
        registers.hold("top-oil", Double.NaN);
        registers.hold("winding", 95.4);
        registers.hold("fan-group-1-current", 11.98);
        assertThat(registers.hex(MORNING, 0, 2)).isEqualTo("8000 03BA");
        assertThat(registers.hex(MORNING, 7, 1)).isEqualTo("04AE");
    }

    @Test
    void aHeldInputAndAHeldAlarmBitStandWhereTheMakerPutsThem() {
        inputs.holdBit("pump-tripped", true);
        registers.holdBit("control-voltage-low", true);
        assertThat(inputs(MORNING) & 1 << 5).isNotZero();
        assertThat(registers.at(MORNING, 6)).isEqualTo(0b10);
    }

    @Test
    void oneDeadFanOfFourTakesAQuarterOfTheGroupsCurrentAndSetsNoBit() {
        assertThat(value("fan-group-1-current", AFTERNOON)).isBetween(11.8, 12.2);
        int before = inputs(AFTERNOON);
        plant.inject("one-fan-of-group-1-dead", "cooling-t1", Duration.ofHours(12));
        assertThat(value("fan-group-1-current", AFTERNOON)).isBetween(8.8, 9.2);
        assertThat(inputs(AFTERNOON)).isEqualTo(before);
        assertThat(registers.at(AFTERNOON, 6)).isZero();
    }

    @Test
    void fansThatTurnBackwardsRunByTheirContactsAndLetTheOilGrowWarmer() {
        double healthy = value("top-oil", AFTERNOON);
        plant.inject("fans-reversed", "cooling-t1", Duration.ofHours(3));
        assertThat(inputs(AFTERNOON) & 0b1).isEqualTo(1);
        assertThat(value("top-oil", AFTERNOON) - healthy).isBetween(3.0, 15.0);
    }

    @Test
    void withoutItsSuppliesTheCoolingStandsAndTheWindingReachesItsContact() {
        plant.inject("cooling-supply-lost", "cooling-t1", Duration.ofHours(6));
        assertThat(inputs(Duration.ofHours(7)) & 0b1100_0111).isEqualTo(0b1100_0000);
        assertThat(inputs(AFTERNOON) & 1 << 10)
                .as("winding temperature contact")
                .isNotZero();
    }

    @Test
    void aDriftingTopOilSensorPartsFromTheProbeInTheSameOil() {
        plant.inject("top-oil-sensor-drift", "cooling-t1", Duration.ofHours(1));
        Monitor probe = Objects.requireNonNull(plant.monitors().get("moisture-t1"));
        Duration later = Duration.ofHours(60);
        double apart = value("top-oil", later) - probe.value("oil-temperature", later.toMillis());
        assertThat(apart).isBetween(-9.5, -6.5);
    }

    @Test
    void aLooseVibrationSwitchMakesAndBreaksWithoutARhythm() {
        plant.inject("vibration-switch-loose", "cooling-t1", MORNING);
        int on = 0;
        int changes = 0;
        int onAtTheMinute = 0;
        for (int second = 0; second < 3600; second++) {
            int now = registers.at(MORNING.plusSeconds(second), 6);
            on += now;
            changes += second > 0 && now != registers.at(MORNING.plusSeconds(second - 1), 6) ? 1 : 0;
            onAtTheMinute += second % 60 == 0 ? now : 0;
        }
        assertThat(on).as("seconds of the hour").isBetween(1800, 2800);
        assertThat(changes).isBetween(40, 120);
        assertThat(onAtTheMinute)
                .as("no minute is like the next, whoever polls once a minute")
                .isBetween(25, 52);
    }
}
