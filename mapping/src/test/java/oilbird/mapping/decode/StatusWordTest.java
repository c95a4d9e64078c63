package oilbird.mapping.decode;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeSet;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.DemoMaps;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

/** Status words of the two demo monitors, whose bit lists are invented and written again here by hand. */
class StatusWordTest {
    private static final DeviceMap GAS = DemoMaps.map("hbg-8");
    private static final DeviceMap COOLING = DemoMaps.map("tcc-4");
    private static final Decoder GAS_DECODER = new Decoder(GAS);
    private static final Decoder COOLING_DECODER = new Decoder(COOLING);

    private static ReadBlock blockOf(DeviceMap map, String word) {
        return map.readPlan().stream()
                .filter(b -> map.wordsOf(b).stream().anyMatch(w -> w.name().equals(word)))
                .findFirst()
                .orElseThrow();
    }

    private static Decoded gas(int word) {
        ReadBlock block = blockOf(GAS, "status-a");
        int[] cells = new int[block.count()];
        cells[0 - block.start()] = word;
        return GAS_DECODER.decode("gas-t1", new RawBlock(block, cells), Maps.AT);
    }

    /** name of the indication to true, false or null for "cannot be told", from the maker's bit list alone. */
    private static Map<String, Object> gasByHand(int word) {
        String[] onlyWhenValid = {
            "cabinet-fan-stopped", "heat-sink-hot", "oil-flow-low", "detector-fault", "auxiliary-supply-low"
        };
        boolean valid = word >= 0x8000;
        Map<String, Object> expected = new LinkedHashMap<>();
        for (int bit = 0; bit < 5; bit++) {
            expected.put(onlyWhenValid[bit], valid ? (Object) (word / (1 << bit) % 2 == 1) : "cannot be told");
        }
        expected.put("calibration-due", word / 32 % 2 == 1);
        expected.put("service-mode", word / 64 % 2 == 1);
        expected.put("clock-not-set", word / 128 % 2 == 1);
        expected.put("self-test-failed", valid ? (Object) (word / 16384 % 2 == 0) : "cannot be told");
        expected.put("status-valid", valid);
        return expected;
    }

    private static Map<String, Object> asMap(Decoded decoded) {
        Map<String, Object> states = new LinkedHashMap<>();
        for (Indication indication : decoded.indications()) {
            Object state = switch (indication.state()) {
                case HOLDS -> true;
                case DOES_NOT_HOLD -> false;
                case CANNOT_BE_TOLD -> "cannot be told";
            };
            QualityReason reason = indication.state() == IndicationState.CANNOT_BE_TOLD
                    ? QualityReason.DECLARED_INVALID
                    : QualityReason.NONE;
            // Plain comparisons first: this runs some 650,000 times.
            if (states.put(indication.id().name(), state) != null
                    || indication.reason() != reason
                    || !indication.at().equals(Maps.AT)) {
                throw new AssertionError("twice, or wrong reason or time: " + indication);
            }
        }
        return states;
    }

    @Test
    void allValuesOfTheGasMonitorsStatusWordDecodeAsItsBitListSays() {
        String[] states = {"idle", "filling", "separating", "measuring", "flushing"};
        for (int word = 0; word <= 0xFFFF; word++) {
            Decoded decoded = gas(word);
            if (!asMap(decoded).equals(gasByHand(word))) {
                assertThat(asMap(decoded)).as("word %04x", word).isEqualTo(gasByHand(word));
            }
            Reading state = Maps.reading(decoded, "analysis-state");
            int value = word / 256 % 8;
            boolean defined = value < states.length;
            if (!(defined ? states[value] : Integer.toString(value)).equals(state.text())
                    || state.reason() != (defined ? QualityReason.NONE : QualityReason.OUTSIDE_RANGE)) {
                assertThat(state).as("word %04x", word).isNull();
            }
            // Bit 12 is in no list; the field's values 5 to 7 are defined by nobody.
            int undocumented = (word & 0x1000) + (defined ? 0 : value * 256);
            if (decoded.words().size() != 1
                    || decoded.words().get(0).bits() != word
                    || decoded.words().get(0).undocumented() != undocumented) {
                assertThat(decoded.words()).as("word %04x", word).isNull();
            }
        }
    }

    @Test
    void allValuesOfTheCoolingControlsContactsDecodeAsItsListSays() {
        List<String> contacts = List.of(
                "fan-group-1-running",
                "fan-group-2-running",
                "pump-running",
                "fan-group-1-tripped",
                "fan-group-2-tripped",
                "pump-tripped",
                "supply-a-lost",
                "supply-b-lost",
                "remote-control",
                "manual-mode",
                "winding-temperature-contact",
                "oil-temperature-contact");
        ReadBlock block = blockOf(COOLING, "contacts");
        assertThat(block.start()).isZero();
        assertThat(block.count()).isEqualTo(16);
        for (int word = 0; word <= 0xFFFF; word++) {
            int[] cells = new int[16];
            List<String> expected = new ArrayList<>();
            for (int i = 0; i < 16; i++) {
                cells[i] = word / (1 << i) % 2;
                if (cells[i] == 1 && i < contacts.size()) {
                    expected.add(contacts.get(i));
                }
            }
            Decoded decoded = COOLING_DECODER.decode("cooling-t1", new RawBlock(block, cells), Maps.AT);
            if (!Maps.holding(decoded).equals(expected)
                    || decoded.indications().size() != 12
                    || decoded.words().get(0).undocumented() != 0
                    || decoded.words().get(0).bits() != word) {
                assertThat(Maps.holding(decoded)).as("word %04x", word).isEqualTo(expected);
                assertThat(decoded.words()).as("word %04x", word).isNull();
            }
        }
    }

    @Test
    void allValuesOfTheCoolingControlsAlarmWordDecodeAsItsListSays() {
        List<String> alarms = List.of("fan-vibration", "control-voltage-low", "oil-pump-flow-low");
        ReadBlock block = blockOf(COOLING, "alarms");
        for (int word = 0; word <= 0xFFFF; word++) {
            List<String> expected = new ArrayList<>();
            for (int i = 0; i < 3; i++) {
                if (word / (1 << i) % 2 == 1) {
                    expected.add(alarms.get(i));
                }
            }
            int[] cells = new int[block.count()];
            cells[6 - block.start()] = word;
            Decoded decoded = COOLING_DECODER.decode("cooling-t1", new RawBlock(block, cells), Maps.AT);
            if (!Maps.holding(decoded).equals(expected)
                    || decoded.words().get(0).undocumented() != 0) {
                assertThat(Maps.holding(decoded)).as("word %04x", word).isEqualTo(expected);
                assertThat(decoded.words()).as("word %04x", word).isNull();
            }
        }
    }

    /** Words of both demo monitors with the names that hold, cannot be told, and the unknown bits, worked out by hand. */
    @ParameterizedTest(name = "{0} {1} {2}")
    @CsvFileSource(resources = "/oilbird/vectors/status-words.csv", numLinesToSkip = 1)
    void aStatusWordTellsWhatTheGoldenVectorSays(
            String map, String word, String bits, String holds, String cannotBeTold, String undocumented) {
        DeviceMap deviceMap = DemoMaps.map(map);
        ReadBlock block = blockOf(deviceMap, word);
        int value = Integer.parseInt(bits, 16);
        int[] cells = new int[block.count()];
        int start = deviceMap.words().stream()
                .filter(w -> w.name().equals(word))
                .findFirst()
                .orElseThrow()
                .place()
                .start();
        if (block.table().bits()) {
            for (int i = 0; i < 16; i++) {
                cells[i] = value >> i & 1;
            }
        } else {
            cells[start - block.start()] = value;
        }
        Decoded decoded = new Decoder(deviceMap).decode("dev", new RawBlock(block, cells), Maps.AT);
        assertThat(new TreeSet<>(Maps.holding(decoded))).isEqualTo(names(holds));
        assertThat(decoded.indications().stream()
                        .filter(i -> i.state() == IndicationState.CANNOT_BE_TOLD)
                        .map(i -> i.id().name()))
                .containsExactlyInAnyOrderElementsOf(names(cannotBeTold));
        assertThat(decoded.words())
                .singleElement()
                .satisfies(w -> assertThat(w.undocumented()).isEqualTo(Integer.parseInt(undocumented, 16)));
    }

    private static TreeSet<String> names(String list) {
        return new TreeSet<>(list.equals("-") ? List.of() : List.of(list.split(" ")));
    }

    @Test
    void aValueOfAFieldMayBeAnIndication() {
        DeviceMap map = Maps.read("""
                words:
                  word:
                    text: word
                    holding_register: 0
                    width: 16
                    bits:
                      0-2:
                        field: phase
                        values:
                          0: at rest
                          1: {text: washing, indication: washing}
                          2: {text: washing again, indication: washing}
                          4: {text: locked, indication: locked}
                        valid_when: not bit 8
                      8: starting
                indications:
                  washing: {text: washing}
                  locked: {text: locked}
                  starting: {text: starting}
                """);
        assertThat(Maps.holding(Maps.decode(map, 0))).isEmpty();
        assertThat(Maps.holding(Maps.decode(map, 1))).containsExactly("washing");
        assertThat(Maps.holding(Maps.decode(map, 2))).containsExactly("washing");
        assertThat(Maps.holding(Maps.decode(map, 4))).containsExactly("locked");

        Decoded undefined = Maps.decode(map, 3);
        assertThat(Maps.indication(undefined, "washing").state()).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        assertThat(Maps.indication(undefined, "locked").reason()).isEqualTo(QualityReason.OUTSIDE_RANGE);
        assertThat(Maps.reading(undefined, "phase").text()).isEqualTo("3");
        assertThat(undefined.words().get(0).undocumented()).isEqualTo(3);

        Decoded invalid = Maps.decode(map, 0x104);
        assertThat(Maps.holding(invalid)).containsExactly("starting");
        assertThat(Maps.indication(invalid, "locked").reason()).isEqualTo(QualityReason.DECLARED_INVALID);
        assertThat(Maps.reading(invalid, "phase").reason()).isEqualTo(QualityReason.DECLARED_INVALID);
        assertThat(invalid.words().get(0).undocumented()).isZero();
    }

    @Test
    void a64BitWordIsWholeUpToItsHighestBit() {
        DeviceMap map = Maps.read("""
                words:
                  word: {text: word, input_register: 0, width: 64, bits: {63: highest, 0-62: spare}}
                indications:
                  highest: {text: highest}
                """);
        Decoded decoded = Maps.decode(map, 0x8000, 0, 0, 1);
        assertThat(Maps.holding(decoded)).containsExactly("highest");
        assertThat(decoded.words().get(0).bits()).isEqualTo(0x8000_0000_0000_0001L);
        assertThat(decoded.words().get(0).undocumented()).isZero();
    }
}
