package oilbird.demoplant.device;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import java.time.Duration;
import java.util.Objects;
import oilbird.demoplant.plant.Plant;
import org.junit.jupiter.api.Test;

/** The expected register contents are worked by hand from the maker's list. */
class GasMonitorTest {
    private static final int WELL = 0b1100_0000_0000_0000;
    private static final int ANALYSIS_STATE = 0b0000_0111_0000_0000;

    /** The running analysis of gas-t1 is 40 minutes old at plant time 0: one ends at 20 minutes, then every hour. */
    private final Plant plant = Plant.windlow(7);

    private final Registers gas = new Registers(plant, "gas-t1", 4);

    private static Duration min(double minutes) {
        return Duration.ofSeconds(Math.round(60 * minutes));
    }

    private int bits(Duration time) {
        return gas.at(time, 0) & ~ANALYSIS_STATE;
    }

    @Test
    void aHealthyMonitorShowsSelfTestPassedAndStatusValidAllDay() {
        for (int minute = 0; minute < 24 * 60; minute += 7) {
            assertThat(bits(min(minute))).as("minute %d", minute).isEqualTo(WELL);
        }
    }

    /** Filling 1, separating 2, measuring 3, flushing 4 in bits 8 to 10, then idle 0 and one analysis more. */
    @Test
    void theAnalysisStateStandsInBits8To10() {
        int[] afterTheLastEnd = {1, 5, 20, 45, 55, 61};
        int[] state = {0, 1, 2, 3, 4, 0};
        for (int i = 0; i < state.length; i++) {
            Duration time = min(20 + afterTheLastEnd[i]);
            assertThat(gas.at(time, 0) & ANALYSIS_STATE).as("at %s", time).isEqualTo(state[i] << 8);
        }
    }

    @Test
    void eachHourOneAnalysisIsCountedAndTheGasesChangeWithItOnly() {
        assertThat(gas.at(min(19), 1)).isEqualTo(1_412);
        assertThat(gas.at(min(21), 1)).isEqualTo(1_413);
        assertThat(gas.hex(min(21), 2, 14)).isEqualTo(gas.hex(min(79), 2, 14)).isNotEqualTo(gas.hex(min(81), 2, 14));
        assertThat(gas.at(min(81), 1)).isEqualTo(1_414);
    }

    @Test
    void aStoppedFanSetsBit0WithinThreeSecondsAndTheHotHeatSinkBit1WithinThreeQuartersOfAnHour() {
        plant.inject("fan-stopped", "gas-t1", min(100), min(300));
        assertThat(bits(min(100)) & 0b11).isZero();
        assertThat(gas.at(min(100).plusSeconds(4), 22)).isZero();
        assertThat(bits(min(100).plusSeconds(4)) & 0b11).isEqualTo(0b01);
        assertThat(bits(min(130)) & 0b11).isEqualTo(0b01);
        assertThat(bits(min(145)) & 0b11).isEqualTo(0b11);
        assertThat(bits(min(301)) & 0b11)
                .as("the fan runs, the heat sink is still hot")
                .isEqualTo(0b10);
        assertThat(bits(min(400)) & 0b11).isZero();
    }

    @Test
    void aLostSpeedSignalLooksLikeAStoppedFanButTheHeatSinkStaysCool() {
        plant.inject("fan-speed-sensor", "gas-t1", min(100));
        assertThat(gas.at(min(600), 22)).isZero();
        assertThat(bits(min(600)) & 0b11).isEqualTo(0b01);
        assertThat(gas.at(min(600), 21) - gas.at(min(600), 20))
                .as("tenths of a kelvin over cabinet air")
                .isBetween(57, 63);
    }

    @Test
    void withoutOilFlowTheCounterStandsAndTheGasesKeepTheirLastValue() {
        plant.inject("oil-valve-shut", "gas-t1", min(100), min(400));
        assertThat(gas.at(min(101), 23)).as("0.02 l/min").isEqualTo(2);
        assertThat(gas.at(min(101), 24)).as("2.60 bar").isBetween(258, 262);
        assertThat(bits(min(101)) & 0b100).isEqualTo(0b100);
        assertThat(gas.at(min(399), 1)).isEqualTo(gas.at(min(99), 1));
        assertThat(gas.hex(min(399), 2, 14)).isEqualTo(gas.hex(min(99), 2, 14));
        assertThat(bits(min(401)) & 0b100).isZero();
        assertThat(gas.at(min(458), 1)).isEqualTo(gas.at(min(99), 1));
        assertThat(gas.at(min(461), 1)).as("an hour after the oil flows again").isEqualTo(gas.at(min(99), 1) + 1);
    }

    @Test
    void aServiceVisitBringsAnAnalysisOfCalibrationGasOffTheSchedule() {
        plant.inject("service-visit", "gas-t1", min(90), min(150));
        assertThat(bits(min(91)) & 0b100_0000).isEqualTo(0b100_0000);
        assertThat(gas.at(min(109), 1)).isEqualTo(1_414);
        assertThat(gas.at(min(111), 1)).isEqualTo(1_415);
        assertThat(hydrogen(min(111))).isBetween(497.0, 503.0);
        assertThat(hydrogen(min(208))).as("still the calibration's").isBetween(497.0, 503.0);
        assertThat(hydrogen(min(211))).as("oil again").isBetween(29.0, 31.0);
        assertThat(bits(min(151)) & 0b100_0000).isZero();
    }

    @Test
    void valuesThatStandAreEqualToTheLastDigitWhileTheCounterGoesOn() {
        plant.inject("values-frozen", "gas-t1", min(100));
        assertThat(gas.hex(min(900), 2, 14)).isEqualTo(gas.hex(min(100), 2, 14));
        assertThat(gas.at(min(900), 1)).isEqualTo(gas.at(min(100), 1) + 13);
    }

    @Test
    void newFirmwareMovesEveryRegisterButTheStatusWord() {
        Plant old = Plant.windlow(7);
        plant.inject("firmware-moved-registers", "gas-t1", min(100));
        Duration after = min(130);
        String before = new Registers(old, "gas-t1", 4).hex(after, 2, 5);
        assertThat(gas.hex(after, 3, 5)).isEqualTo(before);
        assertThat(gas.at(after, 1)).isZero();
        assertThat(gas.at(after, 0) & WELL).isEqualTo(WELL);
        assertThat(plant.at("gas-t1", after).nameplate().revision()).isEqualTo("3.00");
        assertThat(plant.at("gas-t1", min(99)).nameplate().revision()).isEqualTo("2.14");
    }

    /** Ratios of hydrogen and methane: a partial discharge is mostly hydrogen (IEC 60599: CH4/H2 below 0.1). */
    @Test
    void aPartialDischargeMakesHydrogenAndHardlyMethane() {
        plant.inject("partial-discharge", "t1", min(60));
        double hydrogen = hydrogen(min(660)) - hydrogen(min(60));
        Monitor gas = Objects.requireNonNull(plant.monitors().get("gas-t1"));
        double methane = gas.value("methane", min(660).toMillis()) - gas.value("methane", min(60).toMillis());
        assertThat(hydrogen).isBetween(70.0, 90.0);
        assertThat(methane / hydrogen).isBetween(0.0, 0.1);
    }

    /** 25.0 = 41C80000h (IEEE 754), low word first. -12.3 degC = -123 = FF85h; 13.50 V = 1350 = 0546h. */
    @Test
    void heldReadingsAreCodedAsTheMakerLists() {
        gas.hold("hydrogen", 25.0);
        gas.hold("cabinet-air", -12.3);
        gas.hold("supply", 13.5);
        assertThat(gas.hex(min(1), 2, 2)).isEqualTo("0000 41C8");
        assertThat(gas.hex(min(1), 20, 1)).isEqualTo("FF85");
        assertThat(gas.hex(min(1), 25, 1)).isEqualTo("0546");
    }

    /** -9999.0 = C61C3C00h, low word first. */
    @Test
    void noValueIsTheMakersCodeWhereItHasOne() {
        gas.hold("methane", Double.NaN);
        gas.hold("fan-speed", Double.NaN);
        assertThat(gas.hex(min(1), 4, 2)).isEqualTo("3C00 C61C");
        assertThat(gas.hex(min(1), 22, 1)).isEqualTo("FFFF");
        assertThatIllegalArgumentException().isThrownBy(() -> gas.hold("supply", Double.NaN));
    }

    /** ASCII by hand: H 48, B 42, G 47, 8 38, - 2D, D 44, E 45, M 4D, O 4F, 0 30, 1 31, space 20. */
    @Test
    void theSerialNumberIsTextOf16Characters() {
        assertThat(gas.hex(min(1), 30, 8)).isEqualTo("4842 4738 2D44 454D 4F2D 3030 3031 2020");
    }

    @Test
    void theMonitorsOwnLogicSeesHeldReadings() {
        gas.hold("oil-flow", 0.02);
        assertThat(bits(min(1)) & 0b100).isEqualTo(0b100);
        Monitor monitor = gas.monitor();
        monitor.release(Objects.requireNonNull(monitor.readings().get("oil-flow")));
        assertThat(bits(min(1)) & 0b100).isZero();
    }

    @Test
    void aHeldBitStaysWhateverTheMonitorWouldSay() {
        gas.holdBit("status:12", true);
        gas.holdBit("self-test-passed", false);
        assertThat(bits(min(1)) & 0b0101_0000_0000_0000).isEqualTo(0b0001_0000_0000_0000);
        gas.monitor().releaseAll();
        assertThat(bits(min(1))).isEqualTo(WELL);
    }

    @Test
    void aHeldRegisterIsSentAsItIs() {
        gas.monitor().holdRegister(0, 0xBEEF);
        assertThat(gas.at(min(1), 0)).isEqualTo(0xBEEF);
        gas.monitor().releaseRegister(0);
        assertThat(bits(min(1))).isEqualTo(WELL);
    }

    private double hydrogen(Duration time) {
        return gas.monitor().value("hydrogen", time.toMillis());
    }
}
