package oilbird.alarm.diagnosis;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.rule.Words;
import oilbird.mapping.check.CheckReader;
import oilbird.mapping.signal.Supply;
import oilbird.mapping.text.Claims;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.SchemaCheck;
import oilbird.mapping.text.YamlDocument;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import org.jspecify.annotations.Nullable;

/** Reads a fault model: structure by its schema, then meaning as far as the file alone shows it. */
public final class FaultModelReader {
    private static final SchemaCheck SCHEMA = SchemaCheck.of("/oilbird/schema/fault-model-1.schema.json");
    private static final String ALARM = "alarm ";
    private static final List<String> PLACEHOLDERS = List.of("device", "asset");

    private final Problems problems;

    private FaultModelReader(Problems problems) {
        this.problems = problems;
    }

    /**
     * The fault model of one file, or every mistake that prevents it.
     *
     * @param file path for messages, relative to the station folder.
     * @param text the whole file.
     */
    public static Loaded<FaultModel> read(String file, String text) {
        Problems problems = new Problems();
        FaultModel model = YamlDocument.read(file, text, problems)
                .map(root -> {
                    SCHEMA.check(root);
                    Claims.refuse(root);
                    return new FaultModelReader(problems).model(file, root.asMapping());
                })
                .orElse(null);
        return problems.loaded(model);
    }

    private FaultModel model(String file, YamlMapping root) {
        String origin = root.text("origin", "");
        List<Cause> causes = new ArrayList<>();
        for (YamlMapping.Entry entry : root.mapping("causes").entries()) {
            causes.add(cause(entry, origin));
        }
        Map<SignName, Rate> otherwise = new LinkedHashMap<>();
        for (YamlMapping.Entry entry : root.mapping("otherwise").entries()) {
            SignName sign = entry.key().startsWith(ALARM)
                    ? SignName.of(entry.key().substring(ALARM.length()), true)
                    : SignName.of(entry.key(), false);
            otherwise.put(sign, new Rate(entry.value().asDecimal(), origin));
            if (causes.stream()
                    .noneMatch(c -> c.produces().stream().anyMatch(p -> p.sign().equals(sign)))) {
                problems.warning(
                        entry.keyPosition(),
                        "no cause of this file produces `" + entry.key() + "`",
                        "delete it, or write alarm before the key of a rule");
            }
        }
        Map<Shared.Kind, List<Produced>> shared = new LinkedHashMap<>();
        for (Shared.Kind kind : Shared.Kind.values()) {
            if (root.mapping("shared").has(kind.written())) {
                List<Produced> produced = new ArrayList<>();
                produced(root.mapping("shared").mapping(kind.written()), false, produced);
                shared.put(kind, produced);
            }
        }
        List<Supply> rated = new ArrayList<>();
        for (YamlNode item : root.list("rated_supply").items()) {
            supply(item.asMapping()).ifPresent(rated::add);
        }
        return new FaultModel(
                file,
                root.text("for", ""),
                root.valuePosition("for"),
                causes,
                otherwise,
                shared,
                CheckReader.read(root.mapping("first_checks")),
                order(root),
                rated);
    }

    private List<FaultModel.Ordered> order(YamlMapping root) {
        List<FaultModel.Ordered> order = new ArrayList<>();
        for (YamlNode item : root.list("order").items()) {
            order.add(new FaultModel.Ordered(item.asText(), item.position()));
        }
        return order;
    }

    private static Optional<Supply> supply(YamlMapping node) {
        double from = node.decimal("from");
        double to = node.decimal("to");
        if (!(from > 0)) {
            return Optional.empty(); // the schema tells
        }
        if (to < from) {
            node.error("the range ends below its beginning", "exchange from and to");
            return Optional.empty();
        }
        return Optional.of(new Supply(node.choice("current", Supply.Current.class), from, to));
    }

    private Cause cause(YamlMapping.Entry entry, String origin) {
        YamlMapping node = entry.value().asMapping();
        List<Produced> produces = new ArrayList<>();
        produced(node.mapping("produces"), false, produces);
        produced(node.mapping("raises"), true, produces);
        if (produces.isEmpty()) {
            problems.error(
                    entry.keyPosition(),
                    "the cause `" + entry.key() + "` shows itself by nothing, so it can never be found",
                    "add produces: or raises:");
        }
        List<Support> supports = new ArrayList<>();
        for (YamlNode item : node.list("supported_by").items()) {
            Support support = support(item.asMapping());
            if (support != null) {
                supports.add(support);
            }
        }
        checkWords(node.get("says"));
        Duration within = node.durationOrNull("respond_within");
        if (within != null && within.isZero()) {
            problems.error(
                    node.valuePosition("respond_within"), "nobody can respond in no time", "state the time available");
        }
        boolean keepAway = node.truth("keep_away", false);
        return new Cause(
                entry.key(),
                node.text("says"),
                node.choice("trouble", Trouble.class),
                new Rate(positive(node.decimal("per_year")), node.text("origin", origin)),
                produces,
                supports,
                makes(node.mapping("makes")),
                keepAway,
                node.text("call", ""),
                within,
                node.texts("spares"),
                node.texts("tools"),
                node.texts("first_checks"),
                node.has("proving") ? proving(node.mapping("proving")) : Proving.UNSTATED,
                entry.keyPosition());
    }

    private static Proving proving(YamlMapping node) {
        List<Proving.Wanted> readings = new ArrayList<>();
        for (YamlNode item : node.list("readings").items()) {
            YamlMapping of = item.asMapping();
            readings.add(new Proving.Wanted(of.text("reading"), of.decimalOrNull("from"), of.decimalOrNull("to")));
        }
        return new Proving(
                node.duration("settles", Proving.UNSTATED.settles()),
                node.duration("quiet", Proving.UNSTATED.quiet()),
                (int) Math.max(0, Math.min(1000, node.whole("analyses", 0))),
                readings);
    }

    /** A number that the schema has refused must not stop the reading. */
    private static double positive(double written) {
        return written > 0 ? written : 1;
    }

    private static void produced(YamlMapping node, boolean alarms, List<Produced> into) {
        for (YamlMapping.Entry entry : node.entries()) {
            YamlMapping of = entry.value().asMapping();
            into.add(new Produced(
                    SignName.of(entry.key(), alarms),
                    Math.min(1, positive(of.decimal("probability"))),
                    of.duration("within", Duration.ZERO),
                    of.durationOrNull("lasts"),
                    entry.keyPosition()));
        }
    }

    private static List<Cause.Makes> makes(YamlMapping node) {
        int periods = (int) Math.max(0, Math.min(1000, node.whole("after_periods", 0)));
        List<Cause.Makes> makes = new ArrayList<>();
        for (String how : List.of("worthless", "doubtful")) {
            for (YamlNode item : node.list(how).items()) {
                makes.add(new Cause.Makes(item.asText(), how.equals("worthless"), periods, item.position()));
            }
        }
        return makes;
    }

    private @Nullable Support support(YamlMapping node) {
        boolean ofReading = node.has("reading");
        if (ofReading == node.has("indication")) {
            node.error(
                    ofReading ? "`indication` stands beside `reading`" : "nothing says what is looked for",
                    "write exactly one of reading, indication");
            return null;
        }
        for (String key : ofReading ? List.of("holds") : List.of("over", "above", "below", "unit")) {
            if (node.has(key)) {
                problems.error(
                        node.keyPosition(key),
                        "`" + key + "` goes with " + (ofReading ? "indication" : "reading"),
                        "delete it");
            }
        }
        Support.Seen seen;
        if (ofReading) {
            if (node.has("above") == node.has("below")) {
                problems.error(
                        node.keyPosition("reading"),
                        node.has("above") ? "`below` stands beside `above`" : "the reading has no limit",
                        "write exactly one of above, below");
            }
            if (!node.has("unit")) {
                problems.error(
                        node.keyPosition("reading"), "the unit of the limit is not given", "add unit:, the reading's");
            }
            SignName name = SignName.of(node.text("reading"), false);
            seen = new Support.OfReading(
                    name.map(),
                    name.name(),
                    node.textOrNull("over"),
                    node.has("above"),
                    node.has("above") ? node.decimal("above") : node.decimal("below", 0),
                    node.text("unit", ""));
        } else {
            seen = new Support.OfIndication(SignName.of(node.text("indication"), false), node.truth("holds", true));
        }
        double ratio = positive(node.decimal("ratio"));
        double otherwise = positive(node.decimal("otherwise", 1));
        if ((ratio > 1 && otherwise > 1) || (ratio < 1 && otherwise < 1)) {
            problems.error(
                    node.keyPosition("otherwise"),
                    "both ratios lie on the same side of 1, so whatever is seen speaks "
                            + (ratio > 1 ? "for" : "against") + " the cause",
                    "make otherwise " + (ratio > 1 ? "at most" : "at least") + " 1");
        }
        return new Support(seen, ratio, otherwise, node.position());
    }

    private static void checkWords(@Nullable YamlNode words) {
        if (words != null) {
            Words.check(words, PLACEHOLDERS, "use {device} or {asset}", name -> {});
        }
    }
}
