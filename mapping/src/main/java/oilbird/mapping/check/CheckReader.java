package oilbird.mapping.check;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import oilbird.mapping.signal.Caution;
import oilbird.mapping.signal.Circuit;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.Measurement;
import oilbird.mapping.signal.Verdict;
import oilbird.mapping.signal.Work;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import oilbird.mapping.text.YamlScalar;
import org.jspecify.annotations.Nullable;

/** Reads a section {@code first_checks}; {@link CheckLint} then holds each against what endangers people. */
public final class CheckReader {
    private CheckReader() {}

    /**
     * A section that was read.
     *
     * @param checks by name, in file order; those with an unusable exposure are left out.
     * @param positions where each is written.
     */
    public record Section(Map<String, FirstCheck> checks, Map<String, Position> positions) {}

    /** The checks of a section. */
    public static Section read(YamlMapping section) {
        Map<String, FirstCheck> checks = new LinkedHashMap<>();
        Map<String, Position> positions = new LinkedHashMap<>();
        for (YamlMapping.Entry entry : section.entries()) {
            YamlMapping node = entry.value().asMapping();
            FirstCheck check = check(entry.key(), node);
            positions.put(entry.key(), entry.keyPosition());
            if (check != null) {
                checks.put(entry.key(), check);
                CheckLint.refuse(check, entry.keyPosition(), node);
            }
        }
        return new Section(checks, positions);
    }

    private static @Nullable FirstCheck check(String name, YamlMapping node) {
        long exposure = node.whole("exposure");
        if (exposure < 0 || exposure > 4 || !node.has("exposure")) {
            return null;
        }
        List<FirstCheck.Outcome> outcomes = new ArrayList<>();
        for (YamlNode item : node.list("outcomes").items()) {
            outcomes.add(outcome(item.asMapping()));
        }
        return new FirstCheck(
                name,
                (int) exposure,
                node.text("action"),
                node.textOrNull("accepted"),
                outcomes,
                cautions(node, (int) exposure),
                node.has("minutes") ? (Integer) (int) node.whole("minutes") : null,
                node.texts("tools"),
                node.textOrNull("authorisation"),
                node.textOrNull("where"),
                work(node),
                node.has("measures") ? measurement(node.mapping("measures")) : null,
                node.texts("after"));
    }

    private static FirstCheck.Outcome outcome(YamlMapping node) {
        List<Verdict> when = new ArrayList<>();
        YamlNode written = node.get("when");
        if (written instanceof YamlScalar) {
            when.add(written.asChoice(Verdict.class));
        } else if (written != null) {
            written.asList().items().forEach(i -> when.add(i.asChoice(Verdict.class)));
        }
        Map<String, Double> given = new LinkedHashMap<>();
        for (YamlMapping.Entry entry : node.mapping("given").entries()) {
            given.put(entry.key(), Math.max(0, Math.min(1, entry.value().asDecimal())));
        }
        return new FirstCheck.Outcome(
                node.text("found"),
                node.text("means"),
                when,
                given,
                node.textOrNull("next"),
                node.textOrNull("proves"),
                node.textOrNull("hand_over"));
    }

    private static Work work(YamlMapping node) {
        List<Work.Preparation> prepared = new ArrayList<>();
        node.list("prepared").items().forEach(i -> prepared.add(i.asChoice(Work.Preparation.class)));
        Work.Act act = node.choice("does", node.has("measures") ? Work.Act.MEASURE : Work.Act.LOOK);
        return new Work(
                node.choice("circuit", Circuit.NONE), act, prepared, node.textOrNull("proof"), node.texts("repairs"));
    }

    private static @Nullable Measurement measurement(YamlMapping node) {
        if (!node.has("unit") || node.text("unit").isBlank()) {
            return null; // the schema or the linter tells
        }
        return new Measurement(
                node.text("quantity"),
                node.text("unit"),
                node.choice("base", Measurement.Base.WRITTEN),
                node.decimalOrNull("from"),
                node.decimalOrNull("to"),
                node.textOrNull("load"),
                node.truth("energised", true));
    }

    private static List<Caution> cautions(YamlMapping node, int exposure) {
        List<Caution> cautions = new ArrayList<>();
        for (YamlNode item : node.list("cautions").items()) {
            if (!node.problems().isMisshapen(item.position())) {
                caution(item, exposure).filter(c -> !cautions.contains(c)).ifPresent(cautions::add);
            }
        }
        cautions.sort(null);
        return cautions;
    }

    private static Optional<Caution> caution(YamlNode item, int exposure) {
        String id = item.asText();
        if (id.isEmpty()) {
            return Optional.empty();
        }
        Optional<Caution> known =
                Arrays.stream(Caution.values()).filter(c -> c.name().equals(id)).findFirst();
        if (known.isEmpty()) {
            item.error("the caution `" + id + "` is not known", "write one of S01 to S32");
            return known;
        }
        Caution caution = known.get();
        if (caution.minExposure() > exposure) {
            item.error(
                    "the caution " + id + " (" + caution.appliesTo() + ") is for exposure " + caution.minExposure()
                            + " and above, the check says exposure " + exposure,
                    "raise the exposure to " + caution.minExposure() + ", or leave out what needs the caution");
        }
        return known;
    }
}
