package oilbird.alarm.check;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import oilbird.alarm.diagnosis.DeviceChecks;
import oilbird.mapping.signal.Measurement;
import oilbird.mapping.signal.Supply;
import oilbird.mapping.signal.Verdict;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** A value as a person writes it, and the range in which it is accepted. */
class MeasuredValueTest {
    private static MeasuredValue.Read read(String written, String unit) {
        MeasuredValue value = MeasuredValue.read(written, unit);
        assertThat(value).as(written).isInstanceOf(MeasuredValue.Read.class);
        return (MeasuredValue.Read) value;
    }

    private static MeasuredValue.Unclear unclear(String written, String unit) {
        MeasuredValue value = MeasuredValue.read(written, unit);
        assertThat(value).as(written).isInstanceOf(MeasuredValue.Unclear.class);
        return (MeasuredValue.Unclear) value;
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "13.5 V|V|13.5",
                "13,5 V|V|13.5",
                "13,5V|V|13.5",
                "13500 mV|V|13.5",
                "0.0135 kV|V|13.5",
                "0,235 A|A|0.235",
                ",5 V|V|0.5",
                "-12.4 V|V|-12.4",
                "\u221212.4 V|V|-12.4",
                "1.234,5 V|V|1234.5",
                "1,234.5 V|V|1234.5",
                "12.5 mA|mA|12.5",
                "4.7 kohm|ohm|4700",
                "1.2 M\u03a9|Mohm|1.2",
                "30 l/h|l/min|0.5",
                "250 mbar|bar|0.25",
                "1450 1/min|rpm|1450",
                "27 \u00b0C|degC|27",
                "300.15 K|degC|27",
                "9 degF|K|5",
                "230 V AC|V|230",
                "230 V~|V|230",
                "48 V d.c.|V|48",
            })
    void numberAndUnitAreRead(String written, String unit, double value) {
        assertThat(read(written, unit).value()).isCloseTo(value, within(1e-9));
    }

    /** Common practice: 27 degC is 81 degF to the nearest degree. */
    @Test
    void twentySevenDegreesCelsiusAreEightyOneFahrenheit() {
        assertThat(MeasuredValue.convert(27, "degC", "degF"))
                .hasValueSatisfying(f -> assertThat(Math.round(f)).isEqualTo(81));
        assertThat(Math.round(read("81 degF", "degC").value())).isEqualTo(27);
    }

    /** NIST SP 811 (2008), B.8, from memory: 32 degF is 0 degC, 212 degF is 100 degC, 1 psi is 6.894757 kPa. */
    @Test
    void conversionsMeetTheirFixedPoints() {
        assertThat(read("32 \u00b0F", "degC").value()).isCloseTo(0, within(1e-9));
        assertThat(read("212 F", "degC").value()).isCloseTo(100, within(1e-9));
        assertThat(read("1 psi", "kPa").value()).isCloseTo(6.894757, within(1e-6));
        assertThat(MeasuredValue.convert(1, "V", "A")).isEmpty();
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "1,234 V|V|can be read in two ways",
                "1.234 V|V|can be read in two ways",
                "13.250 V|V|can be read in two ways",
                "1,2,3 V|V|can be read in two ways",
                "13. V|V|can be read in two ways",
                "13.5|V|the unit is missing",
                "81|degC|the unit is missing",
                "13.5 A|V|no unit of what was to be measured",
                "13.5 MV|V|not known here",
                "13.5 mv|V|not known here",
                "about 13 V|V|does not begin with a number",
                "<5 V|V|does not begin with a number",
                "13-14 V|V|more than one number",
                "13.5/13.6 V|V|more than one number",
                "1 234 V|V|more than one number",
                "1e3 V|V|has an exponent",
                "O.5 V|V|does not begin with a number",
                "''|V|nothing is written",
            })
    void whatCanBeReadInTwoWaysIsRefusedWithTheReason(String written, String unit, String why) {
        assertThat(unclear(written, unit).why()).contains(why);
        assertThat(unclear(written, unit).remedy()).isNotBlank();
    }

    @Test
    void aNumberThatCanBeReadInTwoWaysIsShownBoth() {
        assertThat(unclear("13,250 V", "V").remedy()).isEqualTo("write 13.25 or 13250, whichever is meant");
        assertThat(unclear("1.000 V", "V").remedy()).isEqualTo("write 1.0 or 1000, whichever is meant");
    }

    private static final DeviceChecks UNIVERSAL =
            device(List.of(new Supply(Supply.Current.AC, 100, 240), new Supply(Supply.Current.DC, 100, 220)), null);

    private static DeviceChecks device(List<Supply> rated, @Nullable Supply nominal) {
        return new DeviceChecks("d", "a", List.of(), List.of(), rated, nominal);
    }

    private static Measurement supply(Measurement.Base base, @Nullable Double from, @Nullable Double to) {
        return new Measurement("voltage", "V", base, from, to, null, true);
    }

    private static Verdict verdict(AcceptedRange range, double value) {
        assertThat(range).isInstanceOf(AcceptedRange.Limits.class);
        return ((AcceptedRange.Limits) range).verdict(value);
    }

    /**
     * Common practice: a universal auxiliary input takes 100 to 240 V AC or 100 to 220 V DC; a real 220 V battery floats
     * higher, and the device's rating decides.
     */
    @Test
    void theDevicesRatingDecidesAndNotTheNameOfTheBattery() {
        Measurement measured = supply(Measurement.Base.RATED_SUPPLY, null, null);
        DeviceChecks onBattery = device(UNIVERSAL.rated(), new Supply(Supply.Current.DC, 220, 220));

        assertThat(verdict(AcceptedRange.of(measured, onBattery, null), 218)).isEqualTo(Verdict.WITHIN);
        assertThat(verdict(AcceptedRange.of(measured, onBattery, null), 238)).isEqualTo(Verdict.ABOVE);
        assertThat(verdict(AcceptedRange.of(measured, UNIVERSAL, Supply.Current.AC), 238))
                .isEqualTo(Verdict.WITHIN);
        assertThat(verdict(AcceptedRange.of(measured, UNIVERSAL, Supply.Current.DC), 96))
                .isEqualTo(Verdict.BELOW);
        assertThat(verdict(AcceptedRange.of(measured, UNIVERSAL, Supply.Current.DC), 9))
                .isEqualTo(Verdict.NONE);
    }

    @Test
    void aDeviceForBothCurrentsNeedsTheKindThatIsThere() {
        AcceptedRange range = AcceptedRange.of(supply(Measurement.Base.RATED_SUPPLY, null, null), UNIVERSAL, null);

        assertThat(range)
                .isInstanceOfSatisfying(
                        AcceptedRange.Unknown.class,
                        u -> assertThat(u.remedy()).isEqualTo("write V AC or V DC behind the value"));
        assertThat(read("118 V DC", "V").current()).isEqualTo(Supply.Current.DC);
        assertThat(read("118 V~", "V").current()).isEqualTo(Supply.Current.AC);
    }

    /** Common practice: a regulated 13.5 V DC internal supply, loaded, has 13.25 to 13.75 V. */
    @ParameterizedTest
    @CsvSource({"13.2 V,BELOW", "13.25 V,WITHIN", "'13,5 V',WITHIN", "13.75 V,WITHIN", "13.8 V,ABOVE", "0.4 V,NONE"})
    void aRegulatedInternalSupplyIsJudged(String written, Verdict verdict) {
        AcceptedRange range =
                AcceptedRange.of(supply(Measurement.Base.WRITTEN, 13.25, 13.75), device(List.of(), null), null);

        assertThat(verdict(range, read(written, "V").value())).isEqualTo(verdict);
    }

    @Test
    void theStationsNominalSupplyIsTakenInPercent() {
        AcceptedRange range = AcceptedRange.of(
                supply(Measurement.Base.NOMINAL_SUPPLY, 80.0, 120.0),
                device(List.of(), new Supply(Supply.Current.DC, 60, 60)),
                null);

        assertThat(((AcceptedRange.Limits) range).text()).isEqualTo("48 to 72 V (nominal 60 V d.c.)");
        assertThat(AcceptedRange.of(
                        supply(Measurement.Base.NOMINAL_SUPPLY, 80.0, 120.0), device(List.of(), null), null))
                .isInstanceOf(AcceptedRange.Unknown.class);
    }

    @ParameterizedTest
    @ValueSource(strings = {"\u00b0C", "12", "....", ",", "-", "9999999999999999999999999999999999999999 V", "1,,2 V"})
    void whateverIsWrittenIsReadOrRefused(String written) {
        assertThat(MeasuredValue.read(written, "V")).isInstanceOf(MeasuredValue.Unclear.class);
    }
}
