package oilbird.alarm.rule;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.alarm.composite.Expression;
import oilbird.alarm.composite.Mistake;
import oilbird.alarm.state.Acknowledgement;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.Priority;
import oilbird.mapping.check.CheckLinks;
import oilbird.mapping.check.CheckReader;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.text.Claims;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.SchemaCheck;
import oilbird.mapping.text.YamlDocument;
import oilbird.mapping.text.YamlList;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import org.jspecify.annotations.Nullable;

/** Reads a rule file: structure by its schema, then meaning as far as the file alone shows it. */
public final class RuleReader {
    private static final SchemaCheck SCHEMA = SchemaCheck.of("/oilbird/schema/alarm-rules-1.schema.json");
    private static final List<String> KINDS =
            List.of("indication", "field", "level", "rate", "discrepancy", "overdue", "communication", "expression");
    private static final List<String> SCOPES = List.of("map", "devices", "assets", "asset");
    /** Keys that go with some kinds only, and those kinds. */
    private static final Map<String, List<String>> GO_WITH = goWith();

    private static final Pattern AGREEMENT = Pattern.compile("([0-9]{1,3}) of ([0-9]{1,3})");
    private static final List<String> PLACEHOLDERS = List.of("device", "asset", "value", "limit");

    private final Problems problems;
    private final Map<String, FirstCheck> checks = new LinkedHashMap<>();
    private final Set<String> usedChecks = new LinkedHashSet<>();

    private RuleReader(Problems problems) {
        this.problems = problems;
    }

    private static Map<String, List<String>> goWith() {
        Map<String, List<String>> kinds = new LinkedHashMap<>();
        kinds.put("holds", List.of("indication", "field"));
        kinds.put("says", List.of("field"));
        kinds.put("over", List.of("level"));
        kinds.put("window", List.of("rate"));
        kinds.put("least_samples", List.of("rate"));
        kinds.put("against", List.of("discrepancy"));
        kinds.put("ignore_below", List.of("discrepancy"));
        kinds.put("unit", List.of("level", "rate", "discrepancy"));
        kinds.put("high", List.of("level", "rate", "discrepancy"));
        kinds.put("low", List.of("level", "rate"));
        kinds.put("deadband", List.of("level", "rate", "discrepancy"));
        kinds.put("deadband_percent", List.of("level"));
        return kinds;
    }

    /**
     * The rules of one file, or every mistake that prevents them.
     *
     * @param file path for messages, relative to the station folder.
     * @param text the whole file.
     */
    public static Loaded<List<AlarmRule>> read(String file, String text) {
        Problems problems = new Problems();
        List<AlarmRule> rules = YamlDocument.read(file, text, problems)
                .map(root -> {
                    SCHEMA.check(root);
                    Claims.refuse(root);
                    return new RuleReader(problems).rules(root.asMapping());
                })
                .orElse(null);
        return problems.loaded(rules);
    }

    private List<AlarmRule> rules(YamlMapping root) {
        YamlMapping written = root.mapping("first_checks");
        CheckReader.Section section = CheckReader.read(written);
        CheckLinks.refuse(section, Map.of(), problems);
        checks.putAll(section.checks());
        checkAcknowledgementByClass(root);
        List<AlarmRule> rules = new ArrayList<>();
        for (YamlMapping.Entry entry : root.mapping("rules").entries()) {
            rules.add(rule(root, entry.key(), entry.keyPosition(), entry.value().asMapping()));
        }
        for (YamlMapping.Entry entry : written.entries()) {
            if (!usedChecks.contains(entry.key()) && !CheckLinks.isNamed(entry.key(), checks.values())) {
                problems.warning(
                        entry.keyPosition(),
                        "no rule of this file refers to the first check `" + entry.key() + "`",
                        "refer to it, or delete it");
            }
        }
        return rules;
    }

    private AlarmRule rule(YamlMapping root, String key, Position keyPosition, YamlMapping node) {
        Scope scope = scope(node.mapping("for"));
        YamlMapping when = node.mapping("when");
        Priority priority = node.choice("priority", Priority.class);
        Condition condition = condition(when, priority);
        AlarmRule.Behaviour behaviour = behaviour(node, acknowledgement(root, node), confirmation(root, node));
        Rationalization record = record(root, key, keyPosition, node, priority, condition);
        checkTimes(node, record, behaviour, condition);
        checkWords(node.get("says"), scope, condition);
        checkWords(node.get("says_after"), scope, condition);
        List<FirstCheck> own = new ArrayList<>();
        List<String> order = node.texts("first_checks");
        for (String name : order) {
            FirstCheck check = checks.get(name);
            if (check != null) {
                usedChecks.add(name);
                own.add(check);
            }
        }
        return new AlarmRule(
                key,
                scope,
                node.text("says"),
                node.text("says_after", ""),
                condition,
                deadband(when),
                record,
                suppressedWhen(node, record),
                node.truth("keep_away", false),
                behaviour,
                own,
                order,
                overrides(node.mapping("overrides"), condition, priority),
                places(keyPosition, node));
    }

    // ---- scope and condition

    private Scope scope(YamlMapping node) {
        String kind = onlyOne(node, SCOPES, "what the rule applies to");
        return switch (kind) {
            case "devices" -> new Scope.NamedDevices(node.texts("devices"));
            case "assets" -> new Scope.AssetsOfKind(node.text("assets"));
            case "asset" -> new Scope.NamedAsset(node.text("asset"));
            case "map" -> new Scope.DevicesOfMap(node.text("map"));
            default -> new Scope.DevicesOfMap("");
        };
    }

    private Condition condition(YamlMapping when, Priority priority) {
        String kind = onlyOne(when, KINDS, "what the rule watches for");
        GO_WITH.forEach((key, kinds) -> {
            if (!kinds.contains(kind)) {
                refuse(when, key, kinds, kind);
            }
        });
        return switch (kind) {
            case "level" -> level(when, priority);
            case "rate" -> rate(when, priority);
            case "discrepancy" -> discrepancy(when, priority);
            case "expression" -> composed(when.get("expression"));
            case "overdue" -> new Condition.Overdue(signal(when.text("overdue")));
            case "communication" ->
                new Condition.CommunicationLost(new Condition.SignalName(null, DeviceKind.COMMUNICATION_LOST));
            case "indication" -> new Condition.IndicationIs(signal(when.text("indication")), when.truth("holds", true));
            case "field" -> field(when);
            default -> new Condition.IndicationIs(signal(""), true);
        };
    }

    /** The one of these keys that is given; empty, and told, when it is none or several. */
    private String onlyOne(YamlMapping node, List<String> keys, String purpose) {
        List<String> given = keys.stream().filter(node::has).toList();
        String choice = "write exactly one of " + String.join(", ", keys);
        if (given.isEmpty()) {
            // An empty or misspelt mapping is already told by the schema; a second complaint helps nobody.
            if (!node.entries().isEmpty() && node.entries().stream().allMatch(e -> GO_WITH.containsKey(e.key()))) {
                node.error("nothing says " + purpose, choice);
            }
            return "";
        }
        for (String second : given.subList(1, given.size())) {
            problems.error(node.keyPosition(second), "`" + second + "` stands beside `" + given.get(0) + "`", choice);
        }
        return given.get(0);
    }

    private void refuse(YamlMapping when, String key, List<String> kinds, String kind) {
        if (when.has(key) && !kind.isEmpty()) {
            problems.error(
                    when.keyPosition(key),
                    "`" + key + "` goes with " + String.join(", ", kinds) + ", and this is `" + kind + "`",
                    "delete it, or make the rule watch something else");
        }
    }

    private Condition.Direction direction(YamlMapping when, String kind) {
        boolean high = when.has("high");
        if (high == when.has("low")) {
            problems.error(
                    high ? when.keyPosition("low") : when.keyPosition(kind),
                    high ? "`low` stands beside `high`" : "the " + kind + " has no limit",
                    "write exactly one of high, low");
        }
        return high ? Condition.Direction.HIGH : Condition.Direction.LOW;
    }

    private Condition rate(YamlMapping when, Priority priority) {
        Condition.Direction direction = direction(when, "rate");
        String unit = when.text("unit", "");
        Duration per = per(unit);
        if (per.isZero()) {
            problems.error(
                    when.has("unit") ? when.valuePosition("unit") : when.keyPosition("rate"),
                    when.has("unit") ? "`" + unit + "` does not end in a time" : "the unit of the limits is not given",
                    "write the reading's unit, a slash and s, min, h or d, for example ppm/d");
        }
        if (!when.has("window")) {
            problems.error(
                    when.keyPosition("rate"),
                    "nothing says over which time the rate is taken",
                    "add window:, for example 7 d");
        }
        Duration window = when.duration("window", Duration.ofDays(1));
        if (window.isZero()) {
            problems.error(when.valuePosition("window"), "the window has no length", "write a longer one");
        }
        return new Condition.RateOfChange(
                signal(when.text("rate")),
                window.isZero() ? Duration.ofDays(1) : window,
                per.isZero() ? Duration.ofDays(1) : per,
                (int) Math.max(3, Math.min(50, when.whole("least_samples", 5))),
                direction,
                limits(when, direction, priority),
                0,
                unit);
    }

    /** The time that a unit such as {@code ppm/d} divides by; zero for none. */
    private static Duration per(String unit) {
        return switch (unit.substring(unit.lastIndexOf('/') + 1)) {
            case "s" -> Duration.ofSeconds(1);
            case "min" -> Duration.ofMinutes(1);
            case "h" -> Duration.ofHours(1);
            case "d" -> Duration.ofDays(1);
            default -> Duration.ZERO;
        };
    }

    private Condition discrepancy(YamlMapping when, Priority priority) {
        if (!when.has("against")) {
            problems.error(
                    when.keyPosition("discrepancy"),
                    "nothing says what the reading is compared with",
                    "add against:, the other reading");
        }
        if (!when.has("high")) {
            problems.error(when.keyPosition("discrepancy"), "the discrepancy has no limit", "add high:");
        }
        String unit = when.text("unit", "");
        return new Condition.Discrepancy(
                signal(when.text("discrepancy")),
                signal(when.text("against", "")),
                unit.equals("%"),
                when.decimal("ignore_below", 0),
                limits(when, Condition.Direction.HIGH, priority),
                0,
                unit);
    }

    private Condition field(YamlMapping when) {
        if (!when.has("says")) {
            problems.error(
                    when.keyPosition("field"),
                    "nothing says which of its values asks for the alarm",
                    "add says:, a list of their texts");
        }
        return new Condition.FieldSays(signal(when.text("field")), when.texts("says"), when.truth("holds", true));
    }

    private Condition composed(@Nullable YamlNode written) {
        Expression expression = written == null ? null : expression(written);
        return expression == null
                ? new Condition.IndicationIs(signal(""), true)
                : new Condition.Composed(
                        expression,
                        expression.names().stream()
                                .map(Condition.SignalName::inExpression)
                                .toList(),
                        null);
    }

    private static @Nullable Expression expression(YamlNode written) {
        Expression.Read<Expression> read = Expression.read(written.asText());
        for (Mistake mistake : read.mistakes()) {
            written.error(mistake.what() + ", at character " + mistake.character(), mistake.remedy());
        }
        return read.result().orElse(null);
    }

    private Condition level(YamlMapping when, Priority priority) {
        Condition.Direction direction = direction(when, "level");
        String over = when.textOrNull("over");
        return new Condition.Level(
                signal(when.text("level")),
                over == null ? null : signal(over),
                direction,
                limits(when, direction, priority),
                0,
                when.text("unit", ""));
    }

    private List<Condition.Limit> limits(YamlMapping node, Condition.Direction direction, Priority priority) {
        YamlNode written = node.get(direction == Condition.Direction.HIGH ? "high" : "low");
        if (written == null) {
            return List.of();
        }
        if (!(written instanceof YamlList list)) {
            return List.of(new Condition.Limit(written.asDecimal(), priority));
        }
        List<Condition.Limit> limits = new ArrayList<>();
        for (YamlNode item : list.items()) {
            YamlMapping entry = item.asMapping();
            Condition.Limit limit =
                    new Condition.Limit(entry.decimal("limit"), entry.choice("priority", Priority.class));
            if (!limits.isEmpty() && entry.has("limit") && entry.has("priority")) {
                checkOrder(entry, limits.get(limits.size() - 1), limit, direction);
            }
            limits.add(limit);
        }
        return limits;
    }

    private void checkOrder(
            YamlMapping entry, Condition.Limit before, Condition.Limit limit, Condition.Direction direction) {
        boolean high = direction == Condition.Direction.HIGH;
        if (high ? limit.value() <= before.value() : limit.value() >= before.value()) {
            problems.error(
                    entry.valuePosition("limit"),
                    "the limit " + PlainNumber.of(limit.value()) + " does not lie beyond the one before, "
                            + PlainNumber.of(before.value()),
                    high ? "write the lowest limit first" : "write the highest limit first");
        } else if (!limit.priority().moreUrgentThan(before.priority())) {
            problems.error(
                    entry.valuePosition("priority"),
                    "the limit " + PlainNumber.of(limit.value()) + " is not more urgent than the one before",
                    "raise its priority, or delete one of the two");
        }
    }

    private AlarmRule.@Nullable Deadband deadband(YamlMapping node) {
        if (node.has("deadband") && node.has("deadband_percent")) {
            problems.error(
                    node.keyPosition("deadband_percent"),
                    "the deadband is given twice",
                    "write deadband or deadband_percent");
        }
        Double units = node.decimalOrNull("deadband");
        Double percent = node.decimalOrNull("deadband_percent");
        if (units != null) {
            return new AlarmRule.Deadband(units, false);
        }
        return percent == null ? null : new AlarmRule.Deadband(percent, true);
    }

    private static Condition.SignalName signal(String written) {
        int slash = written.indexOf('/');
        return slash < 0
                ? new Condition.SignalName(null, written)
                : new Condition.SignalName(written.substring(0, slash), written.substring(slash + 1));
    }

    // ---- behaviour and record

    private static AlarmRule.Behaviour behaviour(
            YamlMapping node, @Nullable Acknowledgement acknowledgement, @Nullable Boolean confirmation) {
        YamlMapping shelving = node.mapping("shelving");
        return new AlarmRule.Behaviour(
                node.durationOrNull("on_delay"),
                node.durationOrNull("off_delay"),
                samples(node, "on_samples"),
                samples(node, "off_samples"),
                agreement(node),
                truth(node, "latching"),
                acknowledgement,
                confirmation,
                node.durationOrNull("re_alarm"),
                truth(shelving, "allowed"),
                shelving.durationOrNull("longest"),
                node.has("names_cause") ? (Boolean) !node.truth("names_cause", false) : null);
    }

    private static AlarmRule.@Nullable Agreement agreement(YamlMapping node) {
        YamlNode written = node.get("agree");
        if (written == null) {
            return null;
        }
        for (String key : List.of("on_samples", "off_samples")) {
            if (node.has(key)) {
                node.problems()
                        .error(
                                node.keyPosition(key),
                                "`" + key + "` stands beside `agree`",
                                "write one of them: samples in a row, or so many of the last");
            }
        }
        Matcher matcher = AGREEMENT.matcher(written.asText());
        if (!matcher.matches()) {
            return null; // told by the schema
        }
        int agreeing = Integer.parseInt(matcher.group(1));
        int of = Integer.parseInt(matcher.group(2));
        if (agreeing > of || 2 * agreeing <= of || of > AlarmRule.Agreement.MOST) {
            written.error(
                    "`" + agreeing + " of " + of + "` is no majority of at most " + AlarmRule.Agreement.MOST,
                    "write more than half, for example 3 of 5");
            return null;
        }
        return new AlarmRule.Agreement(agreeing, of);
    }

    private static @Nullable Integer samples(YamlMapping node, String key) {
        return node.has(key) ? (Integer) (int) Math.max(1, Math.min(1000, node.whole(key))) : null;
    }

    private static @Nullable Boolean truth(YamlMapping node, String key) {
        return node.has(key) ? (Boolean) node.truth(key, false) : null;
    }

    private Rationalization record(
            YamlMapping root,
            String key,
            Position keyPosition,
            YamlMapping node,
            Priority priority,
            Condition condition) {
        AlarmClass alarmClass = node.choice("class", AlarmClass.class);
        YamlMapping rationalized =
                node.has("rationalized") ? node.mapping("rationalized") : root.mapping("rationalized");
        String owner = node.text("owner", root.text("owner", ""));
        List<String> missing = new ArrayList<>();
        missing(missing, node.has("causes"), "causes");
        missing(missing, node.has("consequence"), "consequence");
        missing(missing, node.has("respond_within"), "respond_within");
        missing(missing, node.has("call"), "call");
        missing(missing, !(condition instanceof Condition.Limited) || node.has("limit_basis"), "limit_basis");
        missing(missing, !owner.isEmpty(), "owner");
        missing(missing, rationalized.has("by"), "rationalized");
        if (!missing.isEmpty()) {
            problems.warning(
                    keyPosition,
                    "the record of `" + key + "` does not state " + String.join(", ", missing),
                    "state what the alarm review has agreed on");
        }
        if (!node.has("response")) {
            problems.warning(
                    keyPosition,
                    "`" + key + "` states no response",
                    "state what the operator does, or delete the rule: what asks for no response is no alarm");
        }
        return new Rationalization(
                alarmClass,
                priority,
                node.has("trouble") ? node.choice("trouble", Trouble.class) : RuleDefaults.trouble(alarmClass),
                node.texts("causes"),
                node.text("confirm", ""),
                node.text("consequence", ""),
                node.text("response", ""),
                node.durationOrNull("respond_within"),
                node.text("call", ""),
                node.text("limit_basis", ""),
                node.truth("also_hardwired", false),
                node.text("test", ""),
                owner,
                rationalized.text("by", ""),
                rationalized.text("on", ""),
                rationalized.text("revision", ""),
                further(node, condition));
    }

    private Rationalization.Further further(YamlMapping node, Condition condition) {
        YamlMapping design = node.mapping("design_limits");
        if (node.has("design_limits") && !(condition instanceof Condition.Limited)) {
            problems.error(
                    node.keyPosition("design_limits"),
                    "`design_limits` needs limits, and this rule has none",
                    "delete it");
        }
        return new Rationalization.Further(
                node.has("consequence_severity")
                        ? node.choice("consequence_severity", Rationalization.Severity.class)
                        : null,
                design.decimalOrNull("low"),
                design.decimalOrNull("high"),
                node.truth("protection_layer", false),
                node.texts("operating_states"),
                node.texts("related"),
                node.text("first_out_group", ""),
                node.text("display", ""));
    }

    /** How alarms of a class are acknowledged, where the rule itself does not say. */
    private @Nullable Acknowledgement acknowledgement(YamlMapping root, YamlMapping node) {
        if (node.has("acknowledge")) {
            return node.choice("acknowledge", Acknowledgement.class);
        }
        YamlMapping byClass = root.mapping("acknowledge_by_class");
        String alarmClass = node.text("class", "");
        return byClass.has(alarmClass) ? byClass.choice(alarmClass, Acknowledgement.class) : null;
    }

    /** Whether alarms of a class ask for a confirmation, where the rule itself does not say. */
    private static @Nullable Boolean confirmation(YamlMapping root, YamlMapping node) {
        if (node.has("to_be_confirmed")) {
            return truth(node, "to_be_confirmed");
        }
        return truth(root.mapping("to_be_confirmed_by_class"), node.text("class", ""));
    }

    private void checkAcknowledgementByClass(YamlMapping root) {
        for (YamlMapping.Entry entry : root.mapping("acknowledge_by_class").entries()) {
            boolean protects = entry.key().equals("safety") || entry.key().equals("equipment-protection");
            if (protects && !entry.value().asText().equals("by-person")) {
                problems.error(
                        entry.value().position(),
                        "an alarm of the class " + entry.key() + " is acknowledged by a person",
                        "write by-person, or delete the line");
            }
        }
    }

    /** Never for an alarm that names a cause, nor for the classes that protect people and equipment. */
    private @Nullable Expression suppressedWhen(YamlMapping node, Rationalization record) {
        YamlNode written = node.get("suppressed_when");
        if (written == null) {
            return null;
        }
        if (RuleDefaults.protects(record.alarmClass())) {
            problems.error(
                    node.keyPosition("suppressed_when"),
                    "an alarm of the class " + node.text("class") + " is never suppressed",
                    "delete it, or reconsider the class");
        } else if (node.truth("names_cause", false)) {
            problems.error(
                    node.keyPosition("suppressed_when"),
                    "an alarm that names the cause is never suppressed",
                    "delete it, or delete names_cause");
        }
        return expression(written);
    }

    private static void missing(List<String> missing, boolean given, String key) {
        if (!given) {
            missing.add(key);
        }
    }

    private void checkTimes(
            YamlMapping node, Rationalization record, AlarmRule.Behaviour behaviour, Condition condition) {
        Duration within = record.timeToRespond();
        Duration onDelay = behaviour.onDelay();
        if (within != null && within.isZero() && !problems.isMisshapen(node.valuePosition("respond_within"))) {
            node.problems()
                    .error(
                            node.valuePosition("respond_within"),
                            "nobody can respond in no time",
                            "state the time available; below 3 min ask for an automatic action instead");
        } else if (within != null && onDelay != null && onDelay.compareTo(within) >= 0) {
            node.problems()
                    .warning(
                            node.valuePosition("on_delay"),
                            "the on-delay uses up the whole time to respond",
                            "shorten on_delay, or state a longer respond_within");
        }
        if (Boolean.FALSE.equals(behaviour.shelvingAllowed()) && behaviour.maxShelveTime() != null) {
            YamlMapping shelving = node.mapping("shelving");
            problems.error(
                    shelving.keyPosition("longest"),
                    "shelving has a longest time and is not allowed",
                    "delete longest, or write allowed: true");
        }
        Duration longest = behaviour.maxShelveTime();
        if (longest != null && longest.isZero()) {
            problems.error(
                    node.mapping("shelving").valuePosition("longest"),
                    "the longest shelving time is zero",
                    "write allowed: false instead");
        }
        if (condition instanceof Condition.Overdue) {
            for (String key : List.of("on_samples", "off_samples", "agree")) {
                if (node.has(key)) {
                    problems.error(
                            node.keyPosition(key),
                            "data that is overdue brings no samples to count",
                            "delete it; use on_delay or off_delay");
                }
            }
        }
    }

    private void checkWords(@Nullable YamlNode words, Scope scope, Condition condition) {
        if (words == null) {
            return;
        }
        Words.check(words, PLACEHOLDERS, "use {device}, {asset}, {value} or {limit}", name -> {
            if ((name.equals("value") || name.equals("limit")) && !(condition instanceof Condition.Limited)) {
                words.error("`{" + name + "}` needs limits, and this rule has none", "delete it");
            } else if (name.equals("device") && !ofDevices(scope)) {
                words.error("`{device}` needs a rule on devices, and this one is on an asset", "name the device");
            }
        });
    }

    private static boolean ofDevices(Scope scope) {
        return scope instanceof Scope.DevicesOfMap || scope instanceof Scope.NamedDevices;
    }

    // ---- overrides

    private List<AlarmRule.Deviation> overrides(YamlMapping node, Condition condition, Priority ofRule) {
        List<AlarmRule.Deviation> overrides = new ArrayList<>();
        for (YamlMapping.Entry entry : node.entries()) {
            YamlMapping of = entry.value().asMapping();
            Condition.Limited level = condition instanceof Condition.Limited l ? l : null;
            Condition.Direction direction = level == null ? Condition.Direction.HIGH : level.direction();
            for (String key : List.of("high", "low", "deadband", "deadband_percent")) {
                boolean fits = key.equals("deadband_percent") ? level instanceof Condition.Level : level != null;
                if (of.has(key) && !fits) {
                    problems.error(
                            of.keyPosition(key),
                            "`" + key + "` needs " + (level == null ? "limits" : "a level")
                                    + ", and this rule has none",
                            "delete it");
                }
            }
            String other = direction == Condition.Direction.HIGH ? "low" : "high";
            if (level != null && of.has(other)) {
                problems.error(
                        of.keyPosition(other),
                        "`" + other + "` overrides limits on the other side",
                        "write " + (other.equals("low") ? "high" : "low") + ", as the rule does");
            }
            if (Boolean.FALSE.equals(truth(of, "enabled")) && of.entries().size() > 1) {
                problems.warning(
                        of.position(),
                        "the rule does not apply to `" + entry.key() + "`, so the other keys do nothing",
                        "delete them");
            }
            Priority priority = of.has("priority") ? of.choice("priority", Priority.class) : null;
            List<Condition.Limit> limits = limits(of, direction, priority == null ? ofRule : priority);
            overrides.add(new AlarmRule.Deviation(
                    entry.key(),
                    of.truth("enabled", true),
                    limits.isEmpty() ? null : limits,
                    deadband(of),
                    priority,
                    of.textOrNull("limit_basis"),
                    behaviour(of, null, null),
                    entry.keyPosition()));
        }
        return overrides;
    }

    private static AlarmRule.Places places(Position key, YamlMapping node) {
        return path -> {
            Position nearest = key;
            YamlNode here = node;
            for (Object step : path) {
                YamlNode next = null;
                if (here instanceof YamlMapping mapping && step instanceof String name) {
                    next = mapping.get(name);
                } else if (here instanceof YamlList list && step instanceof Integer index) {
                    next = index < list.items().size() ? list.items().get(index) : null;
                }
                if (next == null) {
                    return nearest;
                }
                here = next;
                nearest = here.position();
            }
            return nearest;
        };
    }
}
