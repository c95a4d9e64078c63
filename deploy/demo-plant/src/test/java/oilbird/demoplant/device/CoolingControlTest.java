package oilbird.demoplant.device;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.HexFormat;
import java.util.Objects;
import org.junit.jupiter.api.Test;

/** The expected register contents are worked by hand from the maker's list. */
class CoolingControlTest {
    private static final HexFormat HEX = HexFormat.of().withUpperCase();

    private final CoolingControl cooling = new CoolingControl("cooling", 21, 720, 98_765, 7);

    /** Running group 1 (bit 0), pump (bit 2), remote (bit 8): first input in the lowest bit, MAP V1.1b3 6.2. */
    @Test
    void theDiscreteInputsOfAHealthyControl() {
        assertThat(HEX.formatHex(cooling.image().discreteInputs(0, 16))).isEqualTo("0501");
    }

    /** Inputs 2 to 4 alone: pump running first. */
    @Test
    void aReadFromTheMiddleStartsAtItsOwnLowestBit() {
        assertThat(HEX.formatHex(cooling.image().discreteInputs(2, 3))).isEqualTo("01");
    }

    /** 98765 = 000181CDh, high word first. */
    @Test
    void theRunningHoursStandHighWordFirst() {
        assertThat(HEX.formatHex(cooling.image().holdingRegisters(4, 2))).isEqualTo("000181CD");
    }

    /** 720 A of 1200 A over 16 mA from 4 mA: 13.6 mA = 13600. */
    @Test
    void theLoadStandsOnThe4To20MilliampereInput() {
        byte[] bytes = cooling.image().holdingRegisters(3, 1);
        assertThat((bytes[0] & 0xFF) << 8 | bytes[1] & 0xFF).isBetween(13_590, 13_610);
    }

    /** -32768 = 8000h; 95.4 degC = 954 = 03BAh. */
    @Test
    void temperaturesAreTenthsAndHaveANoValueCode() {
        hold("top-oil", Double.NaN);
        hold("winding", 95.4);
        assertThat(HEX.formatHex(cooling.image().holdingRegisters(0, 2))).isEqualTo("800003BA");
    }

    @Test
    void aHeldInputAndAHeldAlarmBitStandWhereTheMakerPutsThem() {
        cooling.hold(cooling.bit("pump-tripped").orElseThrow(), true);
        cooling.hold(cooling.bit("control-voltage-low").orElseThrow(), true);
        assertThat(HEX.formatHex(cooling.image().discreteInputs(0, 16))).isEqualTo("2501");
        assertThat(HEX.formatHex(cooling.image().holdingRegisters(6, 1))).isEqualTo("0002");
    }

    @Test
    void theVibrationBitChangesEvery400MillisecondsFor20SecondsAndThenRests() {
        cooling.flapVibration(400, 20_000);
        boolean last = false;
        int changes = 0;
        for (int tick = 0; tick < 300; tick++) {
            boolean on = (cooling.image().holdingRegisters(6, 1)[1] & 1) == 1;
            changes += on == last ? 0 : 1;
            last = on;
            cooling.tick();
        }
        assertThat(changes).isBetween(48, 51);
        assertThat(last).isFalse();
    }

    private void hold(String reading, double value) {
        cooling.hold(Objects.requireNonNull(cooling.readings().get(reading)), value);
    }
}
