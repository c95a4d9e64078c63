package oilbird.mapping.draft;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import java.util.Random;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.WordOrder;
import oilbird.mapping.map.BitNumbering;
import oilbird.mapping.map.BitUse;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.map.MappedIndication;
import oilbird.mapping.map.Point;
import oilbird.mapping.map.Range;
import oilbird.mapping.map.StatusWord;
import oilbird.mapping.map.ValueType;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import oilbird.mapping.text.Problem.Severity;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Point lists as makers give them; all invented. */
class MapDraftTest {
    private static DeviceMap map(MapDraft draft) {
        Loaded<DeviceMap> loaded = MapReader.read("drafted.yaml", draft.yaml());
        return loaded.result().orElseThrow(() -> new AssertionError(loaded.problems() + "\n" + draft.yaml()));
    }

    private static MapDraft draft(String list) {
        return MapDraft.from("list.csv", list, "drafted", false);
    }

    private static List<String> told(MapDraft draft) {
        return draft.remarks().stream().map(Problem::toString).toList();
    }

    @Test
    void aTimeInAnotherCodingIsATime() {
        DeviceMap map = map(draft("""
                Register,Function,Name,Description,Data type
                0,FC03,Time of device,time of the device,Unix milliseconds
                10,FC03,Time of event,time of the last event,CP56Time2a
                """));
        assertThat(map.points())
                .extracting(Point::type)
                .containsExactly(ValueType.UNIX_MILLISECONDS, ValueType.CP56TIME2A);
    }

    @Test
    void everyColumnThatIsKnownIsCarriedOver() {
        DeviceMap map = map(draft("""
                Register,Function,Name,Description,Data type,Word order,Factor,Offset,Unit,Range,Invalid,Remark
                0,FC04,H2,hydrogen,float,low word first,1,,ppm,0..20000,-9999,"from the last analysis, not now"
                2,FC04,Top oil,top oil temperature,int16,,0.1,-40,\u00b0C,-40 to 120,0x7FFF,
                0x10,FC03,Serial,serial number,string(12),,,,,,,
                100,FC02,Door,door open,,,,,,,,
                101,FC02,Fan,fan tripped,,,,,,,,
                """));
        assertThat(map.name()).isEqualTo("drafted");
        Point hydrogen = map.point("h2").orElseThrow();
        assertThat(hydrogen.text()).isEqualTo("hydrogen");
        assertThat(hydrogen.place()).isEqualTo(new Place(ModbusTable.INPUT_REGISTERS, 0, 2));
        assertThat(hydrogen.type()).isEqualTo(ValueType.FLOAT32);
        assertThat(hydrogen.order()).isEqualTo(WordOrder.CDAB);
        assertThat(hydrogen.plausible()).isEqualTo(new Range(0, 20000));
        assertThat(hydrogen.noValueRaw()).containsExactly(Float.floatToIntBits(-9999f) & 0xFFFF_FFFFL);
        Point oil = map.point("top-oil").orElseThrow();
        assertThat(oil.unit()).isEqualTo("degC");
        assertThat(oil.scale()).isEqualTo(0.1);
        assertThat(oil.offset()).isEqualTo(-40);
        assertThat(oil.noValueRaw()).containsExactly(0x7FFFL);
        assertThat(map.point("serial").orElseThrow().place())
                .isEqualTo(new Place(ModbusTable.HOLDING_REGISTERS, 16, 6));
        StatusWord contacts = map.words().get(0);
        assertThat(contacts.place()).isEqualTo(new Place(ModbusTable.DISCRETE_INPUTS, 100, 2));
        assertThat(map.indications())
                .extracting(MappedIndication::name, MappedIndication::text)
                .containsExactly(
                        org.assertj.core.groups.Tuple.tuple("door", "door open"),
                        org.assertj.core.groups.Tuple.tuple("fan", "fan tripped"));
    }

    @Test
    void nothingInADraftIsVerified() {
        DeviceMap map = map(draft("address,name,bit\n1,flow,\n2,fan stopped,0\n"));
        assertThat(map.points()).extracting(Point::verified).containsOnlyNulls().hasSize(1);
        assertThat(map.indications())
                .extracting(MappedIndication::verified)
                .containsOnlyNulls()
                .hasSize(1);
    }

    @Test
    void whatTheListDoesNotSayIsToldOnceWithItsPlaceAndWhatWasAssumed() {
        assertThat(told(draft("address,name,unit\n7,flow,l/min\n9,heat,furlong\n")))
                .containsExactlyInAnyOrder(
                        "list.csv:1:1: warning: the list does not say whether its first address is 0 or 1; 0 was assumed;"
                                + " compare one value by inspect --read; where it is off by one write addresses: one-based",
                        "list.csv:2:1: warning: the list does not say how the value is coded; uint16 was assumed (2 rows);"
                                + " see the raw words by inspect --read and correct the type",
                        "list.csv:2:1: warning: the list does not say in which table the value is; holding_register was"
                                + " assumed (2 rows); write input_register, discrete_input or coil where the device"
                                + " answers there",
                        "list.csv:2:1: warning: the list does not say by which code the device tells that it has no value"
                                + " (2 rows); look in the maker's text for such codes (0xFFFF, 0x8000, -9999) and add"
                                + " no_value",
                        "list.csv:2:1: warning: the list does not say which values are plausible (2 rows); add range: with"
                                + " the lowest and the highest plausible reading",
                        "list.csv:3:8: warning: the unit `furlong` is not known and was left out; write a unit that is"
                                + " known, with the scale that gives it");
    }

    /** Register numbers whose first digit names the table: a common notation, from the first Modbus controllers. */
    @ParameterizedTest
    @CsvSource({
        "40001, HOLDING_REGISTERS, 0",
        "30001, INPUT_REGISTERS, 0",
        "49999, HOLDING_REGISTERS, 9998",
        "400001, HOLDING_REGISTERS, 0",
        "465536, HOLDING_REGISTERS, 65535",
        "300124, INPUT_REGISTERS, 123",
    })
    void aNumberThatNamesItsTableIsTakenForWhatItIs(String written, ModbusTable table, int address) {
        MapDraft draft = draft("address,name,type\n" + written + ",flow,u16\n");
        assertThat(map(draft).points().get(0).place()).isEqualTo(new Place(table, address, 1));
        assertThat(told(draft)).anyMatch(t -> t.contains("the first digit of the addresses was taken for the table"));
    }

    @ParameterizedTest
    @CsvSource({"00001, COILS, 0", "10001, DISCRETE_INPUTS, 0"})
    void soIsABit(String written, ModbusTable table, int address) {
        String column = table == ModbusTable.COILS ? "coil" : "discrete input";
        DeviceMap map = map(draft("address,name,table\n" + written + ",fan," + column + "\n"));
        assertThat(map.words().get(0).place()).isEqualTo(new Place(table, address, 1));
    }

    @Test
    void aListThatCountsFromOneIsWrittenAsItCounts() {
        MapDraft draft = MapDraft.from("list.csv", "address,name,type\n1,flow,u16\n", "drafted", true);
        assertThat(draft.yaml()).contains("addresses: one-based").contains("holding_register: 1");
        assertThat(map(draft).points().get(0).place().start()).isZero();
    }

    @Test
    void aListWithAnAddressZeroCountsFromZeroAndNobodyIsTold() {
        assertThat(told(draft("address,name,type\n0,flow,u16\n"))).noneMatch(t -> t.contains("first address"));
    }

    @Test
    void bitsOfOneRegisterBecomeAWordAndSpareOnesStaySpare() {
        MapDraft draft = draft("""
                Address;Name;Type
                5;Status;word
                5.0;Fan stopped;bool
                5.1;reserved;bool
                5.15;Valid;bool
                """);
        DeviceMap map = map(draft);
        assertThat(map.points()).isEmpty();
        StatusWord word = map.words().get(0);
        assertThat(word.name()).isEqualTo("status");
        assertThat(word.width()).isEqualTo(16);
        assertThat(word.uses())
                .containsExactly(
                        new BitUse.Flag(0, "fan-stopped", false, null),
                        new BitUse.Spare(1, 1),
                        new BitUse.Flag(15, "valid", false, null));
        assertThat(told(draft)).anyMatch(t -> t.contains("which bit is the least significant"));
    }

    @Test
    void aBitSixteenMeansThatBitsCountFromOne() {
        StatusWord word =
                map(draft("address,bit,name\n5,1,low\n5,16,high\n")).words().get(0);
        assertThat(word.numbering()).isEqualTo(BitNumbering.LSB_1);
        assertThat(word.uses())
                .containsExactly(new BitUse.Flag(0, "low", false, null), new BitUse.Flag(15, "high", false, null));
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {"1/10|0.1", "/100|0.01", "x0.5|0.5", "0,1|0.1", "* 10|10", "1|1", "1e-3|0.001"})
    void scalesAreReadInEveryCommonWay(String written, double scale) {
        MapDraft draft = draft("address;name;type;scale\n0;flow;u16;" + written + "\n");
        assertThat(map(draft).points().get(0).scale()).isEqualTo(scale);
    }

    @ParameterizedTest
    @CsvSource({
        "float, FLOAT32",
        "REAL, FLOAT32",
        "Unsigned 16, UINT16",
        "U32, UINT32",
        "INT, INT16",
        "signed int, INT16",
        "DINT, INT32",
        "UINT16 (bit field), UINT16",
        "double, FLOAT64",
        "BCD, BCD16",
        "dword, UINT32",
        "16 bit unsigned, UINT16",
    })
    void typesAreReadByTheirUsualNames(String written, ValueType type) {
        MapDraft draft = draft("address;name;type\n0;flow;" + written + "\n");
        assertThat(map(draft).points().get(0).type()).as(told(draft).toString()).isEqualTo(type);
    }

    @Test
    void aQuotedCellMayHoldSeparatorsQuotesAndLineEnds() {
        MapDraft draft = draft(
                "address,name,description,type\r\n0,flow,\"oil flow, \"\"cold\"\"\r\nside\",u16\r\n1,heat,heat,u16\r\n");
        assertThat(map(draft).point("flow").orElseThrow().text()).isEqualTo("oil flow, \"cold\"  side");
        assertThat(map(draft).points()).hasSize(2);
    }

    @Test
    void whatIsOnlyWrittenIsLeftOut() {
        MapDraft draft = draft("address,name,type,access\n0,flow,u16,R\n1,reset,u16,W\n2,limit,u16,R/W\n");
        assertThat(map(draft).points()).extracting(Point::name).containsExactly("flow", "limit");
        assertThat(told(draft)).anyMatch(t -> t.startsWith("list.csv:3:13: warning: the row is only for writing"));
    }

    @Test
    void aListWithoutAddressesIsRefused() {
        MapDraft draft = draft("name,unit\nflow,ppm\n");
        assertThat(draft.yaml()).isEmpty();
        assertThat(told(draft))
                .containsExactly("list.csv:1:1: error: no row of headings was found that names a column of addresses;"
                        + " name the columns, for example: address, name, type, scale, unit");
    }

    @Test
    void namesAreMadeUniqueAndFitTheMap() {
        MapDraft draft = draft(
                "address,name,type\n0,Oil Flow!,u16\n1,oil flow,u16\n2,3rd pump,u16\n3,\u00d6l,u16\n4,spare part,u16\n");
        assertThat(map(draft).points())
                .extracting(Point::name)
                .containsExactly("oil-flow", "oil-flow-2", "n-3rd-pump", "l", "spare-part");
    }

    /** Whatever stands in a list: a draft or remarks, never an exception; and what the draft says is YAML. */
    @Test
    void noListMakesItThrow() {
        List<String> pieces = List.of(
                ",",
                ";",
                "\t",
                "\n",
                "\"",
                "\"\"",
                "address",
                "bit",
                "type",
                "scale",
                "unit",
                "range",
                "40001",
                "65536",
                "70000",
                "0x",
                "0xFFFF",
                "-1",
                "1.5",
                "1e99",
                "0..",
                "5.99",
                "5-900",
                "float",
                "string",
                "string(999)",
                "FC99",
                "coil",
                "#",
                ": ",
                "{",
                "\u0000",
                "\u00b0C",
                "true",
                "null",
                "-",
                "\r",
                "'",
                "&a",
                "*a",
                "99999999999",
                "spare",
                "W",
                "ABCD",
                "/0",
                "\uFEFF",
                "\ud800");
        long seed = 6;
        Random random = new Random(seed);
        int drafted = 0;
        for (int run = 0; run < 3000; run++) {
            StringBuilder list = new StringBuilder("address,name,type,bit,scale,unit,range,no value,table,length\n");
            for (int i = random.nextInt(60); i > 0; i--) {
                list.append(
                        switch (random.nextInt(4)) {
                            case 0 -> pieces.get(random.nextInt(pieces.size()));
                            case 1 -> Integer.toString(random.nextInt(200));
                            case 2 -> ",";
                            default -> random.nextInt(5) == 0 ? "\n" : "x" + random.nextInt(9);
                        });
            }
            MapDraft draft;
            try {
                draft = draft(list.toString());
                if (!draft.yaml().isEmpty()) {
                    drafted++;
                    assertThat(MapReader.read("drafted.yaml", draft.yaml()).problems())
                            .as(draft.yaml())
                            .noneMatch(p ->
                                    p.what().contains("not YAML") || p.what().contains("is not known here"));
                }
            } catch (RuntimeException thrown) {
                throw new AssertionError("seed " + seed + " run " + run + "\n" + list, thrown);
            }
            if (draft.yaml().isEmpty()) {
                assertThat(draft.remarks()).as("run %d", run).anyMatch(r -> r.severity() == Severity.ERROR);
            }
        }
        assertThat(drafted).isGreaterThan(300);
    }
}
