package oilbird.demoplant.device;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import java.util.HexFormat;
import java.util.Objects;
import org.junit.jupiter.api.Test;

/** The expected register contents are worked by hand from the maker's list. */
class GasMonitorTest {
    private static final int IDLE_AND_WELL = 0b1100_0000_0000_0000;

    private final GasMonitor monitor = new GasMonitor("gas", 11, "HBG8-DEMO-0001", 30, 65_535, 0, 7);

    @Test
    void aHealthyIdleMonitorShowsSelfTestPassedAndStatusValid() {
        assertThat(status()).isEqualTo(IDLE_AND_WELL);
    }

    /** Filling 1, separating 2, measuring 3, flushing 4 in bits 8 to 10, then idle 0 and one analysis more. */
    @Test
    void theAnalysisStateStandsInBits8To10AndTheCounterWraps() {
        int[] atSeconds = {0, 2, 6, 11, 14, 15};
        int[] state = {0, 1, 2, 3, 4, 0};
        int now = 0;
        for (int i = 0; i < atSeconds.length; i++) {
            seconds(atSeconds[i] - now);
            now = atSeconds[i];
            assertThat(status()).as("at %d s", now).isEqualTo(IDLE_AND_WELL | state[i] << 8);
        }
        assertThat(register(1)).as("65535 and one more").isZero();
    }

    @Test
    void aStoppedFanSetsBit0WithinThreeSecondsAndTheHotHeatSinkBit1WithinTwentyFive() {
        monitor.stopFan();
        seconds(3);
        assertThat(register(22)).isZero();
        assertThat(status() & 0b11).isEqualTo(0b01);
        seconds(22);
        assertThat(register(21) - register(20))
                .as("tenths of a kelvin over cabinet air")
                .isBetween(349, 351);
        assertThat(status() & 0b11).isEqualTo(0b11);
        monitor.startFan();
        seconds(30);
        assertThat(status() & 0b11).isZero();
    }

    @Test
    void withoutOilFlowTheCounterStandsAndTheGasesFreeze() {
        seconds(16);
        int counter = register(1);
        monitor.loseOilFlow();
        seconds(1);
        String gases = HexFormat.of().formatHex(monitor.image().inputRegisters(2, 14));
        seconds(40);
        assertThat(register(23)).as("0.02 l/min").isEqualTo(2);
        assertThat(status() & 0b100).isEqualTo(0b100);
        assertThat(register(1)).isEqualTo(counter);
        assertThat(HexFormat.of().formatHex(monitor.image().inputRegisters(2, 14)))
                .isEqualTo(gases);
        monitor.restoreOilFlow();
        seconds(18);
        assertThat(status() & 0b100).isZero();
        assertThat(register(1)).isEqualTo(counter + 1);
    }

    @Test
    void hydrogenRisesOverSuccessiveAnalysesAndAcetyleneStays() {
        monitor.riseHydrogen(180, 20, 30_000);
        seconds(15);
        assertThat(monitor.value("hydrogen")).isBetween(104.0, 106.0);
        seconds(15);
        assertThat(monitor.value("hydrogen")).isBetween(179.0, 181.0);
        assertThat(monitor.value("acetylene")).isBetween(0.3, 0.5);
    }

    /** 25.0 = 41C80000h (IEEE 754), low word first. -12.3 degC = -123 = FF85h; 13.50 V = 1350 = 0546h. */
    @Test
    void heldReadingsAreCodedAsTheMakerLists() {
        hold("hydrogen", 25.0);
        hold("cabinet-air", -12.3);
        hold("supply", 13.5);
        assertThat(hex(2, 2)).isEqualTo("0000 41C8");
        assertThat(hex(20, 1)).isEqualTo("FF85");
        assertThat(hex(25, 1)).isEqualTo("0546");
    }

    @Test
    void noValueIsTheMakersCodeWhereItHasOne() {
        hold("methane", Double.NaN);
        hold("fan-speed", Double.NaN);
        assertThat(hex(4, 2)).isEqualTo("3C00 C61C");
        assertThat(hex(22, 1)).isEqualTo("FFFF");
        assertThatIllegalArgumentException().isThrownBy(() -> hold("supply", Double.NaN));
    }

    /** ASCII by hand: H 48, B 42, G 47, 8 38, - 2D, D 44, E 45, M 4D, O 4F, 0 30, 1 31, space 20. */
    @Test
    void theSerialNumberIsTextOf16Characters() {
        assertThat(hex(30, 8)).isEqualTo("4842 4738 2D44 454D 4F2D 3030 3031 2020");
    }

    @Test
    void theMonitorsOwnLogicSeesHeldReadings() {
        hold("oil-flow", 0.02);
        assertThat(status() & 0b100).isEqualTo(0b100);
        monitor.release(reading("oil-flow"));
        assertThat(status() & 0b100).isZero();
    }

    @Test
    void aHeldBitStaysWhateverTheMonitorWouldSay() {
        monitor.hold(monitor.bit("status:12").orElseThrow(), true);
        monitor.hold(monitor.bit("self-test-passed").orElseThrow(), false);
        seconds(1);
        assertThat(status() & 0b0101_0000_0000_0000).isEqualTo(0b0001_0000_0000_0000);
        monitor.reset();
        assertThat(status()).isEqualTo(IDLE_AND_WELL);
    }

    @Test
    void aHeldRegisterIsSentAsItIs() {
        monitor.holdRegister(0, 0xBEEF);
        assertThat(status()).isEqualTo(0xBEEF);
        monitor.releaseRegister(0);
        assertThat(status()).isEqualTo(IDLE_AND_WELL);
    }

    @Test
    void theSameSeedGivesTheSameRegistersAndAnotherSeedOthers() {
        GasMonitor same = new GasMonitor("gas", 11, "HBG8-DEMO-0001", 30, 65_535, 0, 7);
        GasMonitor other = new GasMonitor("gas", 11, "HBG8-DEMO-0001", 30, 65_535, 0, 8);
        for (int i = 0; i < 500; i++) {
            monitor.tick();
            same.tick();
            other.tick();
            assertThat(same.image().inputRegisters(0, 38))
                    .isEqualTo(monitor.image().inputRegisters(0, 38));
        }
        assertThat(other.image().inputRegisters(0, 38))
                .isNotEqualTo(monitor.image().inputRegisters(0, 38));
    }

    private void seconds(int seconds) {
        for (int i = 0; i < seconds * 1_000 / Monitor.TICK_MILLIS; i++) {
            monitor.tick();
        }
    }

    private ReadingForm reading(String name) {
        return Objects.requireNonNull(monitor.readings().get(name));
    }

    private void hold(String reading, double value) {
        monitor.hold(reading(reading), value);
    }

    private int status() {
        return register(0);
    }

    private int register(int number) {
        byte[] bytes = monitor.image().inputRegisters(number, 1);
        return (bytes[0] & 0xFF) << 8 | bytes[1] & 0xFF;
    }

    private String hex(int first, int count) {
        StringBuilder hex = new StringBuilder();
        for (int i = 0; i < count; i++) {
            hex.append(i == 0 ? "" : " ").append(String.format("%04X", register(first + i)));
        }
        return hex.toString();
    }
}
