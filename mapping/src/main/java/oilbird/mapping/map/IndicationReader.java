package oilbird.mapping.map;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import oilbird.mapping.check.CheckLinks;
import oilbird.mapping.check.CheckReader;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import org.jspecify.annotations.Nullable;

/** Reads the sections {@code indications} and {@code first_checks}. */
final class IndicationReader {
    private final MapText text;
    private final YamlMapping points;
    private final Map<String, WordReader.Told> told;
    private final Map<String, List<String>> groups = new LinkedHashMap<>();

    /**
     * @param points the section {@code points}, complete even where points are faulty.
     */
    IndicationReader(MapText text, YamlMapping points, Map<String, WordReader.Told> told) {
        this.text = text;
        this.points = points;
        this.told = told;
        for (YamlMapping.Entry entry : points.entries()) {
            if (entry.value() instanceof YamlMapping point && point.has("group")) {
                groups.computeIfAbsent(point.text("group", ""), g -> new ArrayList<>())
                        .add(entry.key());
            }
        }
    }

    List<MappedIndication> read(YamlMapping section, YamlMapping checkSection) {
        CheckReader.Section written = CheckReader.read(checkSection);
        CheckLinks.refuse(written, Map.of(), text.problems);
        Map<String, FirstCheck> checks = written.checks();
        told.forEach((name, by) -> {
            if (!section.has(name) && !text.problems.isMisshapen(by.at())) {
                Set<String> described = new LinkedHashSet<>();
                section.entries().stream()
                        .map(YamlMapping.Entry::key)
                        .filter(k -> !told.containsKey(k))
                        .forEach(described::add);
                text.unknown(by.at(), "indication", name, described, "indications");
            }
        });
        Set<String> usedChecks = new LinkedHashSet<>();
        List<MappedIndication> indications = new ArrayList<>();
        for (YamlMapping.Entry entry : section.entries()) {
            text.takeName(entry.key(), "indication", entry.keyPosition());
            MappedIndication indication =
                    indication(entry, entry.value().asMapping(), checkSection, checks, usedChecks);
            if (indication != null) {
                indications.add(indication);
            }
        }
        for (YamlMapping.Entry entry : checkSection.entries()) {
            if (!usedChecks.contains(entry.key())) {
                text.problems.warning(
                        entry.keyPosition(),
                        "no indication asks for the first check `" + entry.key() + "`",
                        "name it under an indication's first_checks, or delete it");
            }
        }
        return indications;
    }

    private @Nullable MappedIndication indication(
            YamlMapping.Entry entry,
            YamlMapping of,
            YamlMapping checkSection,
            Map<String, FirstCheck> checks,
            Set<String> usedChecks) {
        WordReader.Told by = told.get(entry.key());
        if (by == null) {
            text.problems.error(
                    entry.keyPosition(),
                    "no bit, no field value and no feature tells the indication `" + entry.key() + "`",
                    "name it in a word's bits or under features:, or delete it");
        }
        List<FirstCheck> asked = new ArrayList<>();
        FirstCheck before = null;
        for (YamlNode node : of.list("first_checks").items()) {
            String name = node.asText();
            usedChecks.add(name);
            FirstCheck check = checks.get(name);
            if (check == null) {
                if (!checkSection.has(name) && !text.problems.isMisshapen(node.position())) {
                    Set<String> known = new LinkedHashSet<>();
                    checkSection.entries().forEach(e -> known.add(e.key()));
                    text.unknown(node.position(), "first check", name, known, "first_checks");
                }
                continue;
            }
            if (before != null && before.exposure() > check.exposure()) {
                node.error(
                        "`" + name + "` of exposure " + check.exposure() + " comes after `" + before.id()
                                + "` of exposure " + before.exposure(),
                        "put the checks of lower exposure first");
            }
            before = check;
            asked.add(check);
        }
        MappedIndication indication = new MappedIndication(
                entry.key(),
                of.text("text"),
                of.textOrNull("meaning"),
                of.truth("engineer_only", false),
                of.truth("service", false),
                of.truth("keep_away", false),
                effect(of.mapping("makes")),
                asked,
                of.textOrNull("semantic"),
                by == null ? null : by.verified(),
                by == null ? "" : by.word());
        return by == null ? null : indication;
    }

    private TrustEffect effect(YamlMapping of) {
        Set<String> worthless = pointsOf(of, "worthless");
        Set<String> doubtful = pointsOf(of, "doubtful");
        for (String point : doubtful) {
            if (worthless.contains(point)) {
                text.problems.error(
                        of.valuePosition("doubtful"),
                        "`" + point + "` is made doubtful and worthless",
                        "name it in one of the two lists");
            }
        }
        if (of.has("after_periods") && doubtful.isEmpty() && worthless.isEmpty()) {
            text.problems.error(
                    of.keyPosition("after_periods"),
                    "nothing is made doubtful or worthless that could stay so",
                    "name points, or delete it");
        }
        return new TrustEffect(List.copyOf(new ArrayList<>(doubtful)), List.copyOf(new ArrayList<>(worthless)), (int)
                of.whole("after_periods", 0));
    }

    private Set<String> pointsOf(YamlMapping of, String key) {
        Set<String> names = new LinkedHashSet<>();
        for (YamlNode node : of.list(key).items()) {
            String name = node.asText();
            List<String> group = groups.get(name);
            if (group != null) {
                names.addAll(group);
            } else if (points.has(name)) {
                names.add(name);
            } else if (!text.problems.isMisshapen(node.position())) {
                Set<String> known = new LinkedHashSet<>(groups.keySet());
                points.entries().forEach(e -> known.add(e.key()));
                text.unknown(node.position(), "point or group", name, known, "points");
            }
        }
        return names;
    }
}
