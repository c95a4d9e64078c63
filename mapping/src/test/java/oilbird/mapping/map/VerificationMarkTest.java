package oilbird.mapping.map;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.Test;

/** Marks written into a map's text, which stays as its author wrote it. */
class VerificationMarkTest {
    private static final Verification MARK = new Verification("A. Integrator (invented)", LocalDate.of(2026, 3, 31));
    private static final String MAP = """
            device_map: 1
            name: pump   # invented
            text: oil pump
            poll_classes: {status: 1 s}
            points:
              # how much oil moves
              flow:
                text: flow
                input_register: 0
                type: uint16   # from the maker's list

              heat: {text: heat, input_register: 1, type: int16}
              cold:
                text: >-
                  a text of
                  several lines
                verified: {by: somebody else, on: 2020-01-01}
                input_register: 2
                type: int16
              last:
                input_register: 3
                type: int16
                text: |
                  last line
            words:
              state:
                text: status word
                input_register: 4
                width: 16
                bits:
                  0: fan-stopped   # the cabinet's
                  1: {indication: pump-stopped, inverted: true}
                  2-3: {field: mode, values: {0: off, 1: {text: running, indication: running}}}
                  4: spare
            indications:
              fan-stopped: {text: fan stopped}
              pump-stopped: {text: pump stopped}
              running: {text: running}
            """;

    private static String marked(String text, String... names) {
        Loaded<String> marked = VerificationMark.write("map.yaml", text, List.of(names), MARK);
        return marked.result().orElseThrow(() -> new AssertionError(marked.problems()));
    }

    private static List<String> added(String before, String after) {
        List<String> added = new ArrayList<>(after.lines().toList());
        before.lines().forEach(added::remove);
        return added;
    }

    @Test
    void aPointOfSeveralLinesGetsOneMore() {
        String marked = marked(MAP, "flow");
        assertThat(added(MAP, marked)).containsExactly("    verified: {by: A. Integrator (invented), on: 2026-03-31}");
        assertThat(marked)
                .contains("    type: uint16   # from the maker's list\n    verified: {by: A. Integrator (invented), on:"
                        + " 2026-03-31}\n\n  heat:");
    }

    @Test
    void everyWayOfWritingIsMarkedAndNothingElseChanges() {
        String marked = marked(MAP, "flow", "heat", "cold", "last", "fan-stopped", "pump-stopped", "running");
        DeviceMap map = MapReader.read("map.yaml", marked).result().orElseThrow();
        assertThat(map.points()).extracting(Point::verified).containsOnly(MARK).hasSize(4);
        assertThat(map.indications())
                .extracting(MappedIndication::verified)
                .containsOnly(MARK)
                .hasSize(3);
        assertThat(map.verifiedBy(null))
                .isEqualTo(
                        MapReader.read("map.yaml", MAP).result().orElseThrow().verifiedBy(null));
        assertThat(added(marked, MAP))
                .as("lines that had to change")
                .containsExactly(
                        "  heat: {text: heat, input_register: 1, type: int16}",
                        "    verified: {by: somebody else, on: 2020-01-01}",
                        "      0: fan-stopped   # the cabinet's",
                        "      1: {indication: pump-stopped, inverted: true}",
                        "      2-3: {field: mode, values: {0: off, 1: {text: running, indication: running}}}");
    }

    @Test
    void aSecondMarkReplacesTheFirst() {
        String once = marked(MAP, "flow", "heat", "fan-stopped");
        assertThat(marked(once, "flow", "heat", "fan-stopped")).isEqualTo(once);
    }

    @Test
    void aWholeWordIsMarkedAtOnce() {
        DeviceMap map =
                MapReader.read("map.yaml", marked(MAP, "state")).result().orElseThrow();
        assertThat(map.indications())
                .extracting(MappedIndication::verified)
                .containsOnly(MARK)
                .hasSize(3);
    }

    @Test
    void lineEndsOfTheFileAreKept() {
        String windows = MAP.replace("\n", "\r\n");
        assertThat(marked(windows, "flow", "last").replace("\r\n", ""))
                .doesNotContain("\n")
                .doesNotContain("\r");
    }

    @Test
    void everyPointAndIndicationOfTheDemoMapsCanBeMarked() {
        for (String name : List.of("hbg-8", "tcc-4", "swt-2", "rvb-3", "cwt-5")) {
            DeviceMap before = DemoMaps.map(name);
            List<String> all = new ArrayList<>();
            before.points().forEach(p -> all.add(p.name()));
            // What a feature makes is as verified as the points that it looks at, and so is what a clock tells.
            List<String> made = new ArrayList<>(
                    before.features().stream().map(Feature::indication).toList());
            DeviceClock clock = before.clock();
            if (clock != null) {
                made.add(clock.indication());
            }
            before.indications().stream()
                    .map(MappedIndication::name)
                    .filter(i -> !made.contains(i))
                    .forEach(all::add);
            Loaded<String> marked = VerificationMark.write(name + ".yaml", DemoMaps.text(name), all, MARK);
            assertThat(marked.problems()).isEmpty();
            DeviceMap after =
                    MapReader.read(name, marked.result().orElseThrow()).result().orElseThrow();
            DeviceMap expected = before.verifiedBy(MARK);
            assertThat(after.points()).isEqualTo(expected.points());
            assertThat(after.words()).isEqualTo(expected.words());
            assertThat(after.indications())
                    .filteredOn(i -> !made.contains(i.name()))
                    .isEqualTo(expected.indications().stream()
                            .filter(i -> !made.contains(i.name()))
                            .toList());
        }
    }

    @Test
    void aNameThatIsHardToWriteIsQuoted() {
        Verification hard = new Verification("O'Neil, \"Jo\": {x}", LocalDate.of(2026, 3, 31));
        String marked = VerificationMark.write("map.yaml", MAP, List.of("heat", "flow"), hard)
                .result()
                .orElseThrow();
        assertThat(MapReader.read("map.yaml", marked)
                        .result()
                        .orElseThrow()
                        .point("heat")
                        .orElseThrow()
                        .verified())
                .isEqualTo(hard);
    }

    @Test
    void whatIsNotThereOrCannotBeReadIsRefused() {
        assertThat(VerificationMark.write("map.yaml", MAP, List.of("fluw"), MARK)
                        .problems())
                .extracting(Problem::toString)
                .containsExactly("map.yaml:1:1: error: there is no point, word, field or indication `fluw` to mark;"
                        + " did you mean flow?");
        assertThat(VerificationMark.write("map.yaml", "device_map: 2", List.of(), MARK)
                        .value())
                .isNull();
        assertThat(VerificationMark.write("map.yaml", MAP, List.of("flow"), new Verification(" ", MARK.on()))
                        .value())
                .isNull();
    }
}
