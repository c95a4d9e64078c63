package oilbird.alarm.rule;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import oilbird.mapping.signal.Caution;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;

/** Reads the first checks of a rule file and holds them against their cautions. */
final class CheckReader {
    private CheckReader() {}

    /**
     * The checks by name, in file order.
     *
     * @param checks the mapping of names to checks.
     */
    static Map<String, FirstCheck> read(YamlMapping checks) {
        Map<String, FirstCheck> read = new LinkedHashMap<>();
        for (YamlMapping.Entry entry : checks.entries()) {
            read.put(entry.key(), check(entry.key(), entry.value().asMapping()));
        }
        return read;
    }

    private static FirstCheck check(String name, YamlMapping node) {
        int exposure = (int) Math.max(0, Math.min(4, node.whole("exposure")));
        List<Caution> cautions = new ArrayList<>();
        for (YamlNode item : node.list("cautions").items()) {
            caution(item, exposure).ifPresent(cautions::add);
        }
        if (node.has("exposure") && node.has("action")) {
            tellMissingCautions(name, node, exposure, cautions);
        }
        List<FirstCheck.Outcome> outcomes = new ArrayList<>();
        for (YamlNode item : node.list("outcomes").items()) {
            YamlMapping outcome = item.asMapping();
            outcomes.add(new FirstCheck.Outcome(outcome.text("found"), outcome.text("means")));
        }
        cautions.sort(null);
        return new FirstCheck(
                name,
                exposure,
                node.text("action"),
                node.textOrNull("accepted"),
                outcomes,
                cautions,
                node.has("minutes") ? (Integer) (int) node.whole("minutes") : null,
                node.texts("tools"));
    }

    private static Optional<Caution> caution(YamlNode item, int exposure) {
        String id = item.asText();
        if (id.isEmpty()) {
            return Optional.empty();
        }
        List<String> known = Arrays.stream(Caution.values()).map(Caution::name).toList();
        if (!known.contains(id)) {
            item.error("the caution `" + id + "` is not known", "write one of S01 to S32");
            return Optional.empty();
        }
        Caution caution = Caution.valueOf(id);
        if (caution.minExposure() > exposure) {
            item.error(
                    "the caution " + id + " (" + caution.appliesTo() + ") is for exposure " + caution.minExposure()
                            + " and above, the check says exposure " + exposure,
                    "raise the exposure to " + caution.minExposure() + ", or leave out what needs the caution");
        }
        return Optional.of(caution);
    }

    private static void tellMissingCautions(String name, YamlMapping node, int exposure, List<Caution> cautions) {
        if (exposure >= Caution.S01.minExposure() && !cautions.contains(Caution.S01)) {
            node.problems()
                    .error(
                            node.valuePosition("exposure"),
                            "the check `" + name + "` opens a cabinet or more, without the caution S01",
                            "add S01 (" + Caution.S01.appliesTo() + ") to its cautions");
        } else if (exposure == 1 && cautions.isEmpty()) {
            node.problems()
                    .error(
                            node.valuePosition("exposure"),
                            "the check `" + name + "` sends somebody near energised equipment without a caution",
                            "add at least S25 and S28 to its cautions");
        }
    }
}
