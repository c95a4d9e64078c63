package oilbird.mapping.draft;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import oilbird.mapping.address.NodeName;
import oilbird.mapping.draft.FoundVariable.Kind;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.map.Range;
import oilbird.mapping.text.Loaded;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;

class BrowseDraftTest {
    private static FoundVariable found(String browseName, Kind kind, @Nullable String unit) {
        return new FoundVariable(
                List.of("Monitor", browseName),
                new NodeName("urn:someone:mtm-2", NodeName.Kind.TEXT, "M." + browseName),
                browseName + " of the monitor",
                kind,
                kind.name(),
                true,
                true,
                unit,
                null,
                null);
    }

    private static DeviceMap read(BrowseDraft draft) {
        Loaded<DeviceMap> loaded = MapReader.read("mtm-2.yaml", draft.yaml());
        return loaded.result().orElseThrow(() -> new AssertionError(loaded.problems() + "\n" + draft.yaml()));
    }

    private static BrowseDraft draft(FoundVariable... variables) {
        return BrowseDraft.of("opc.tcp://192.0.2.31:4840", "mtm-2", List.of(variables));
    }

    @Test
    void aBooleanIsAnIndicationAndANumberAPoint() {
        BrowseDraft draft = draft(found("Water", Kind.REAL, "ppm"), found("Fault", Kind.TRUTH, null));
        DeviceMap map = read(draft);
        assertThat(map.point("water").orElseThrow().unit()).isEqualTo("ppm");
        assertThat(map.words().get(0).width()).isEqualTo(1);
        assertThat(map.indication("fault").orElseThrow().text()).isEqualTo("Fault of the monitor");
        assertThat(draft.points()).isEqualTo(1);
        assertThat(draft.words()).isEqualTo(1);
    }

    @Test
    void unitAndRangeOfTheServerAreTakenAndWhatIsMissingIsToldOf() {
        FoundVariable ranged = new FoundVariable(
                List.of("Oil", "Temperature"),
                new NodeName("urn:someone:mtm-2", NodeName.Kind.NUMBER, "7"),
                "oil temperature",
                Kind.REAL,
                "Double",
                true,
                true,
                "\u00b0C",
                -40.0,
                120.0);
        BrowseDraft draft = draft(ranged, found("Odd", Kind.REAL, "furlong"));
        DeviceMap map = read(draft);
        assertThat(map.point("temperature").orElseThrow().unit()).isEqualTo("degC");
        assertThat(map.point("temperature").orElseThrow().plausible()).isEqualTo(new Range(-40, 120));
        assertThat(draft.remarks())
                .containsExactly(
                        "Monitor/Odd has the unit furlong, which is not known; left out",
                        "Monitor/Odd has no range; add the plausible one");
    }

    @Test
    void twoOfOneNameAreBothKeptAndOddNamesAreMadeUsable() {
        DeviceMap map = read(draft(
                found("Water", Kind.WHOLE, null),
                found("water", Kind.WHOLE, null),
                found("3 \u00b5: #x", Kind.WHOLE, null)));
        assertThat(map.points()).extracting(p -> p.name()).containsExactly("water", "water-2", "n-3-x");
    }

    @Test
    void whatAMapCannotSayIsLeftOutAndToldOf() {
        FoundVariable array = new FoundVariable(
                List.of("Spectrum"),
                NodeName.standard(5),
                "spectrum",
                Kind.REAL,
                "Double",
                false,
                true,
                null,
                null,
                null);
        BrowseDraft draft = draft(array, found("Blob", Kind.OTHER, null));
        assertThat(draft.yaml()).isEmpty();
        assertThat(draft.remarks())
                .containsExactly(
                        "Spectrum is an array of Double, which a map cannot say; left out",
                        "Monitor/Blob is of the type OTHER, which a map cannot say; left out");
    }
}
