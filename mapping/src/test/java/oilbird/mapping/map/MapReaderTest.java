package oilbird.mapping.map;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.LocalDate;
import java.util.List;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.Identification.Verdict;
import oilbird.mapping.text.Loaded;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class MapReaderTest {
    private static DeviceMap read(String sections) {
        Loaded<DeviceMap> loaded = MapReader.read("test.yaml", """
                device_map: 1
                name: test
                text: test device
                poll_classes: {status: 1 s, slow: 1 min}
                """ + sections);
        return loaded.result().orElseThrow(() -> new AssertionError(loaded.problems()));
    }

    private static List<String> plan(DeviceMap map) {
        return map.readPlan().stream()
                .map(b -> b.pollClass() + " " + b.start() + "+" + b.count())
                .toList();
    }

    @Test
    void aOneBasedListIsReadOneAddressLower() {
        DeviceMap map = read("""
                addresses: one-based
                points:
                  first: {text: a, holding_register: 1, type: uint16}
                  last: {text: b, holding_register: 65536, type: uint16}
                """);
        assertThat(map.point("first").orElseThrow().place()).isEqualTo(new Place(ModbusTable.HOLDING_REGISTERS, 0, 1));
        assertThat(map.point("last").orElseThrow().place())
                .isEqualTo(new Place(ModbusTable.HOLDING_REGISTERS, 65535, 1));
    }

    @Test
    void addressesAndMasksMayBeHexadecimal() {
        DeviceMap map = read("points: {a: {text: a, input_register: 0x10, type: uint16, no_value: 0xFFFF}}\n");
        assertThat(map.point("a").orElseThrow().place().start()).isEqualTo(16);
        assertThat(map.point("a").orElseThrow().noValueRaw()).containsExactly(0xFFFFL);
    }

    @Test
    void gapsAreReadAcrossOnlyWhereTheMapSaysSo() {
        String points = """
                points:
                  a: {text: a, holding_register: 0, type: uint16}
                  b: {text: b, holding_register: 4, type: uint16}
                  c: {text: c, holding_register: 8, type: uint16}
                """;
        assertThat(plan(read(points))).containsExactly("status 0+1", "status 4+1", "status 8+1");
        assertThat(plan(read("requests: {read_across_gaps: true}\n" + points))).containsExactly("status 0+9");
        assertThat(plan(read("""
                        requests:
                          read_across_gaps: true
                          never_across: [{holding_register: 5, count: 1}]
                        """ + points))).containsExactly("status 0+5", "status 8+1");
        assertThat(plan(read("requests: {read_across_gaps: true, max_registers: 5}\n" + points)))
                .containsExactly("status 0+5", "status 8+1");
    }

    @Test
    void whatChangesWhenReadIsReadOnlyWhereAPointLiesThere() {
        assertThat(plan(read("""
                        requests: {read_across_gaps: true}
                        read_effects: [{holding_register: 1, count: 2, text: advances a buffer}]
                        points:
                          a: {text: a, holding_register: 0, type: uint16}
                          b: {text: b, holding_register: 3, type: uint16}
                        """))).containsExactly("status 0+1", "status 3+1");
        assertThat(plan(read("""
                        read_effects: [{holding_register: 1, count: 2, text: clears when read}]
                        points:
                          a: {text: a, holding_register: 0, type: uint16}
                          c: {text: c, holding_register: 1, type: uint32, poll: slow}
                          b: {text: b, holding_register: 3, type: uint16}
                        """)))
                .as("the fast request must not clear what only the slow one is to read")
                .containsExactly("status 0+1", "status 3+1", "slow 1+2");
    }

    @Test
    void aRequestSetByHandGivesItsPollClassToWhatItCoversUnlessThatNamesItsOwn() {
        DeviceMap map = read("""
                requests:
                  by_hand:
                    everything: {holding_register: 0, count: 10, poll: slow}
                points:
                  a: {text: a, holding_register: 0, type: uint16}
                  b: {text: b, holding_register: 4, type: float32}
                  c: {text: c, holding_register: 9, type: uint16, poll: status}
                  d: {text: d, holding_register: 10, type: uint16}
                """);
        assertThat(plan(map)).containsExactly("slow 0+10", "status 9+2");
        ReadBlock hand = map.readPlan().get(0);
        assertThat(hand.name()).isEqualTo("everything");
        assertThat(map.readingsOf(hand)).containsExactly("a", "b");
        assertThat(map.readingsOf(map.readPlan().get(1))).containsExactly("c", "d");
    }

    @Test
    void verificationIsTheMapsUnlessAWordOrBitOrPointSaysOtherwise() {
        DeviceMap map = read("""
                verified: {by: A. Example, on: 2026-03-02}
                points:
                  a: {text: a, input_register: 0, type: uint16}
                  b: {text: b, input_register: 1, type: uint16, verified: false}
                words:
                  w:
                    text: w
                    input_register: 2
                    width: 16
                    verified: false
                    bits:
                      0: one
                      1: {indication: two, verified: {by: B. Example, on: 2026-03-03}}
                indications:
                  one: {text: one}
                  two: {text: two}
                """);
        assertThat(map.point("a").orElseThrow().verified())
                .isEqualTo(new Verification("A. Example", LocalDate.of(2026, 3, 2)));
        assertThat(map.point("b").orElseThrow().verified()).isNull();
        assertThat(map.indication("one").orElseThrow().verified()).isNull();
        assertThat(map.indication("two").orElseThrow().verified())
                .isEqualTo(new Verification("B. Example", LocalDate.of(2026, 3, 3)));
    }

    @Test
    void withoutAStatementAMapIsNotVerified() {
        assertThat(read("points: {a: {text: a, coil: 0}}\n")
                        .point("a")
                        .orElseThrow()
                        .verified())
                .isNull();
    }

    @Test
    void warningsAloneDoNotRefuseAMap() {
        Loaded<DeviceMap> loaded = MapReader.read("test.yaml", """
                device_map: 1
                name: test
                text: test device
                poll_classes: {status: 1 s}
                points: {a: {text: a, holding_register: 40001, type: uint16}}
                """);
        assertThat(loaded.result()).isPresent();
        assertThat(loaded.problems())
                .singleElement()
                .hasToString(
                        "test.yaml:5:41: warning: 40001 looks like a register number whose first digit names the table; if so, write 0");
    }

    @ParameterizedTest
    @CsvSource({
        "Maker,M-1,2.14,AS_MAPPED",
        "Maker,' M-1 ',2.14,AS_MAPPED",
        "Maker,M-1,2.2.9,AS_MAPPED",
        "Maker,M-1,2.15,OTHER_FIRMWARE",
        "Maker,M-1,2.140,OTHER_FIRMWARE",
        "Maker,M-1,,OTHER_FIRMWARE",
        "Maker,M-2,2.14,OTHER_PRODUCT",
        "Other,M-1,2.14,OTHER_PRODUCT",
        ",M-1,2.14,AS_MAPPED",
    })
    void anotherProductIsRefusedAndAnotherFirmwareUncertain(
            String vendor, String product, String firmware, Verdict verdict) {
        DeviceMap map = read("""
                identification: {vendor: Maker, product: M-1, firmware: ["2.14", "2.2.*"]}
                points: {a: {text: a, coil: 0}}
                """);
        Identification identification = map.identification();
        assertThat(identification).isNotNull();
        assertThat(identification.judge(vendor, product, firmware)).isEqualTo(verdict);
    }

    @ParameterizedTest
    @CsvSource({"2.?,2.1,true", "2.?,2.,false", "*,,true", "*b*,abc,true", "a*c,abcc,true", "a*c,abcd,false"})
    void aFirmwarePatternKnowsAnyCharactersAndOneCharacter(String pattern, String firmware, boolean matches) {
        Identification identification = new Identification(null, "M-1", List.of(pattern));
        assertThat(identification.judge(null, "M-1", firmware))
                .isEqualTo(matches ? Verdict.AS_MAPPED : Verdict.OTHER_FIRMWARE);
    }
}
