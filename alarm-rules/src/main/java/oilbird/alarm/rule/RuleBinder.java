package oilbird.alarm.rule;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Collection;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import oilbird.alarm.composite.Composite;
import oilbird.alarm.composite.Expression;
import oilbird.alarm.state.Acknowledgement;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmPolicy;
import oilbird.alarm.state.Priority;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problem;
import oilbird.mapping.text.Suggestion;
import org.jspecify.annotations.Nullable;

/** Binds rules to the devices and assets of a station, and checks them against what those have. */
public final class RuleBinder {
    /** A headline longer than this is cut (common practice: at most 40 to 80 characters). */
    public static final int LONGEST_HEADLINE = 80;

    private final StationFacts station;
    private final Map<String, StationFacts.Asset> assets = new LinkedHashMap<>();
    private final Map<String, StationFacts.Device> devices = new LinkedHashMap<>();
    private final Map<String, List<StationFacts.Device>> byMap = new LinkedHashMap<>();
    private final Map<String, List<StationFacts.Device>> byAsset = new LinkedHashMap<>();
    // The same mistake on a thousand devices is one mistake.
    private final Set<Problem> problems = new LinkedHashSet<>();
    private final Map<AlarmId, AlarmRule> taken = new LinkedHashMap<>();
    private final List<RuleInstance> instances = new ArrayList<>();
    private final Set<String> templates;
    // Many devices of one map check the same expression on the same types.
    private final Map<Checked, Expression.Read<Composite>> checked = new LinkedHashMap<>();

    private record Checked(Expression expression, List<Composite.Operand> operands) {}

    private RuleBinder(StationFacts station, Collection<String> maps) {
        this.station = station;
        this.templates = new TreeSet<>(maps);
        station.assets().forEach(a -> assets.put(a.id(), a));
        for (StationFacts.Device device : station.devices()) {
            devices.put(device.id(), device);
            byMap.computeIfAbsent(device.kind().map(), m -> new ArrayList<>()).add(device);
            byAsset.computeIfAbsent(device.asset(), a -> new ArrayList<>()).add(device);
        }
    }

    /**
     * One instance for each alarm of the station, in order of rules, then of devices or assets.
     *
     * @param rules of all rule files together.
     */
    public static Loaded<List<RuleInstance>> bind(List<AlarmRule> rules, StationFacts station) {
        return bind(rules, station, List.of());
    }

    /**
     * The same for rule files that serve many stations.
     *
     * @param maps ids of all device maps that the station has files of, in use or not.
     */
    public static Loaded<List<RuleInstance>> bind(
            List<AlarmRule> rules, StationFacts station, Collection<String> maps) {
        RuleBinder binder = new RuleBinder(station, maps);
        rules.forEach(binder::bind);
        binder.checkRelated(rules);
        binder.problems.addAll(RuleReview.of(binder.instances, station));
        boolean refused = binder.problems.stream().anyMatch(p -> p.severity() == Problem.Severity.ERROR);
        return new Loaded<>(refused ? null : List.copyOf(binder.instances), List.copyOf(binder.problems));
    }

    /** What a rule is bound to: an asset, and the device of a rule on devices. */
    private record Target(StationFacts.Asset asset, StationFacts.@Nullable Device device) {
        String id() {
            return device == null ? asset.id() : device.id();
        }
    }

    private void bind(AlarmRule rule) {
        List<Target> targets = targets(rule);
        Set<String> known = new TreeSet<>();
        for (Target target : targets) {
            known.add(target.id());
            known.add(target.asset().id());
        }
        for (AlarmRule.Deviation override : rule.overrides()) {
            if (!known.contains(override.of()) && !targets.isEmpty()) {
                error(
                        override.position(),
                        "the rule does not apply to `" + override.of() + "`",
                        didYouMean(override.of(), known, "write one of"));
            }
        }
        int bound = 0;
        for (Target target : targets) {
            AlarmRule.@Nullable Deviation override = override(rule, target);
            if (override == null || override.enabled()) {
                bound++;
                bind(rule, target, override);
            }
        }
        if (bound == 0 && !targets.isEmpty()) {
            warning(
                    rule.places().at("overrides"),
                    "the rule `" + rule.key() + "` is switched off everywhere, so it can never fire",
                    "delete the rule, or let it apply somewhere");
        }
    }

    private void checkRelated(List<AlarmRule> rules) {
        Set<String> keys = new TreeSet<>();
        rules.forEach(r -> keys.add(r.key()));
        for (AlarmRule rule : rules) {
            for (String key : rule.record().further().related()) {
                if (!keys.contains(key)) {
                    error(
                            rule.places().at("related"),
                            "there is no rule `" + key + "`",
                            didYouMean(key, keys, "write one of"));
                }
            }
        }
    }

    // ---- scope

    private List<Target> targets(AlarmRule rule) {
        Scope scope = rule.scope();
        List<Target> targets = new ArrayList<>();
        if (scope instanceof Scope.DevicesOfMap of) {
            List<StationFacts.Device> found = byMap.get(of.map());
            if (found == null && templates.contains(of.map())) {
                warning(
                        rule.places().at("for", "map"),
                        "no device of this station has the map `" + of.map() + "`, so the rule does nothing here",
                        "add the device, or leave it as it is where the file serves several stations");
            } else if (found == null) {
                error(
                        rule.places().at("for", "map"),
                        "no device of this station has the map `" + of.map() + "`",
                        didYouMean(of.map(), byMap.keySet(), "the maps in use are"));
            } else {
                found.forEach(d -> target(d, targets));
            }
        } else if (scope instanceof Scope.NamedDevices of) {
            for (int i = 0; i < of.devices().size(); i++) {
                String id = of.devices().get(i);
                StationFacts.Device device = devices.get(id);
                if (device == null) {
                    error(
                            rule.places().at("for", "devices", i),
                            "the station has no device `" + id + "`",
                            didYouMean(id, devices.keySet(), "the devices are"));
                } else {
                    target(device, targets);
                }
            }
        } else if (scope instanceof Scope.AssetsOfKind of) {
            for (StationFacts.Asset asset : station.assets()) {
                if (asset.kind().equals(of.kind())) {
                    targets.add(new Target(asset, null));
                }
            }
            if (targets.isEmpty()) {
                Set<String> kinds = new TreeSet<>();
                station.assets().forEach(a -> kinds.add(a.kind()));
                error(
                        rule.places().at("for", "assets"),
                        "no asset of this station is of the kind `" + of.kind() + "`",
                        didYouMean(of.kind(), kinds, "the kinds are"));
            }
        } else if (scope instanceof Scope.NamedAsset of) {
            StationFacts.Asset asset = assets.get(of.asset());
            if (asset == null) {
                error(
                        rule.places().at("for", "asset"),
                        "the station has no asset `" + of.asset() + "`",
                        didYouMean(of.asset(), assets.keySet(), "the assets are"));
            } else {
                targets.add(new Target(asset, null));
            }
        }
        return targets;
    }

    private void target(StationFacts.Device device, List<Target> targets) {
        StationFacts.Asset asset = assets.get(device.asset());
        if (asset == null) {
            throw new IllegalArgumentException("the device " + device.id() + " has no asset " + device.asset());
        }
        targets.add(new Target(asset, device));
    }

    private static AlarmRule.@Nullable Deviation override(AlarmRule rule, Target target) {
        AlarmRule.@Nullable Deviation ofAsset = null;
        for (AlarmRule.Deviation override : rule.overrides()) {
            if (override.of().equals(target.id())) {
                return override;
            }
            if (override.of().equals(target.asset().id())) {
                ofAsset = override;
            }
        }
        return ofAsset;
    }

    // ---- one alarm

    private void bind(AlarmRule rule, Target target, AlarmRule.@Nullable Deviation override) {
        AlarmId id = new AlarmId(
                target.asset().id(),
                target.device() == null ? rule.key() : target.device().id() + "." + rule.key());
        AlarmRule first = taken.putIfAbsent(id, rule);
        if (first != null) {
            error(
                    rule.places().at(),
                    "the alarm " + id + " has a rule already, at "
                            + first.places().at(),
                    "give one of the two rules another key, or another scope");
            return;
        }
        List<Watched> watched = new ArrayList<>();
        for (Condition.SignalName name : rule.condition().signals()) {
            watch(rule, target, name).ifPresent(watched::add);
        }
        List<FirstCheck> checks = checks(rule, target, watched);
        Optional<RuleInstance.Suppression> suppression = suppression(rule, target);
        if (watched.size() < rule.condition().signals().size()) {
            return;
        }
        RuleDefaults.Debounce debounce = RuleDefaults.debounce(
                rule.condition(), watched.get(0).point(), watched.get(0).madeByFeature());
        Condition condition = condition(rule, override, watched, debounce);
        if (condition instanceof Condition.Composed composed && composed.composite() == null) {
            return;
        }
        checkCanFire(rule, condition, watched);
        AlarmPolicy policy = policy(rule, override, condition, debounce);
        RuleInstance instance = new RuleInstance(
                id,
                rule,
                target.asset(),
                target.device(),
                condition,
                watched.stream().map(Watched::id).toList(),
                agreement(rule, override),
                suppression.orElse(null),
                policy,
                checks,
                override != null && override.limitBasis() != null
                        ? override.limitBasis()
                        : rule.record().limitBasis(),
                watched.stream().filter(Watched::unverified).map(Watched::id).toList());
        checkHeadline(rule, instance);
        instances.add(instance);
    }

    /** A signal of the condition on its device. */
    private record Watched(
            SignalId id,
            StationFacts.Device device,
            DeviceKind.@Nullable Point point,
            DeviceKind.@Nullable NamedIndication indication) {
        boolean unverified() {
            return device.unverified().contains(id.name());
        }

        boolean madeByFeature() {
            return device.kind().features().stream()
                    .anyMatch(f -> f.indication().equals(id.name()));
        }
    }

    private Optional<Watched> watch(AlarmRule rule, Target target, Condition.SignalName name) {
        Position at = place(rule, name);
        if (rule.condition() instanceof Condition.Composed composed) {
            return watchAny(target, composed.expression(), name, at);
        }
        Optional<StationFacts.Device> found = deviceOf(target, name, at, "map/name or device/name");
        if (found.isEmpty()) {
            return Optional.empty();
        }
        StationFacts.Device device = found.get();
        DeviceKind kind = device.kind();
        SignalId id = new SignalId(device.id(), name.name());
        boolean wantsField = rule.condition() instanceof Condition.FieldSays;
        boolean wantsPoint = wantsField
                || rule.condition() instanceof Condition.Limited
                || rule.condition() instanceof Condition.Overdue;
        if (wantsPoint) {
            Optional<DeviceKind.Point> point = kind.point(name.name());
            if (point.isEmpty()) {
                tellUnknown(at, kind, "point", name.name(), pointNames(kind), indicationNames(kind));
                return Optional.empty();
            }
            boolean wantsNumber = rule.condition() instanceof Condition.Limited;
            if (wantsField != point.get().isField() && (wantsField || wantsNumber)) {
                error(
                        at,
                        "`" + name.name() + "` is " + (wantsField ? "a number" : "a bit field, whose values are texts"),
                        wantsField ? "use level:" : "use field: with says:");
                return Optional.empty();
            }
            if (rule.condition() instanceof Condition.FieldSays field) {
                checkTexts(rule, field, point.get());
            }
            return Optional.of(new Watched(id, device, point.get(), null));
        }
        if (name.name().equals(DeviceKind.COMMUNICATION_LOST)) {
            return Optional.of(new Watched(id, device, null, null));
        }
        Optional<DeviceKind.NamedIndication> indication = kind.indication(name.name());
        if (indication.isEmpty()) {
            tellUnknown(at, kind, "indication", name.name(), indicationNames(kind), pointNames(kind));
            return Optional.empty();
        }
        if (indication.get().engineerOnly()) {
            warning(
                    at,
                    "`" + name.name() + "` is for the engineer only, by the map `" + kind.map() + "`",
                    "delete the rule, or correct the map");
        }
        return Optional.of(new Watched(id, device, null, indication.get()));
    }

    private void checkTexts(AlarmRule rule, Condition.FieldSays field, DeviceKind.Point point) {
        for (String text : field.texts()) {
            if (!point.texts().contains(text)) {
                error(
                        rule.places().at("when", "says"),
                        "`" + point.name() + "` never says `" + text + "`",
                        didYouMean(text, new LinkedHashSet<>(point.texts()), "write one of"));
            }
        }
        if (!field.texts().isEmpty() && new LinkedHashSet<>(field.texts()).containsAll(point.texts())) {
            warning(
                    rule.places().at("when", "says"),
                    "these are all values of `" + point.name() + "`, so the alarm can never "
                            + (field.holds() ? "return" : "come"),
                    "name those that ask for a response");
        }
    }

    /** A point or an indication, as an expression may name both. */
    private Optional<Watched> watchAny(Target target, Expression expression, Condition.SignalName name, Position at) {
        Optional<StationFacts.Device> found =
                deviceOf(target, name, at, "map.name or device.name, with underscores for hyphens");
        if (found.isEmpty()) {
            return Optional.empty();
        }
        StationFacts.Device device = found.get();
        DeviceKind kind = device.kind();
        SignalId id = new SignalId(device.id(), name.name());
        Optional<DeviceKind.Point> point = kind.point(name.name());
        Optional<DeviceKind.NamedIndication> indication = kind.indication(name.name());
        if (point.isPresent() || indication.isPresent() || name.name().equals(DeviceKind.COMMUNICATION_LOST)) {
            return Optional.of(new Watched(id, device, point.orElse(null), indication.orElse(null)));
        }
        Set<String> known = new LinkedHashSet<>();
        pointNames(kind).forEach(n -> known.add(Condition.SignalName.spelt(n)));
        indicationNames(kind).forEach(n -> known.add(Condition.SignalName.spelt(n)));
        Optional<String> torn = known.stream()
                .filter(n -> n.contains("_") && expression.text().contains(n.replace('_', '-')))
                .max(Comparator.comparingInt(String::length));
        error(
                at,
                "the map `" + kind.map() + "` has no point or indication `" + name.name() + "`",
                torn.map(n -> "write " + n + " for " + n.replace('_', '-')
                                + ": in an expression a hyphen is a minus, so names are spelt with underscores")
                        .orElseGet(() -> didYouMean(Condition.SignalName.spelt(name.name()), known, "write one of")));
        return Optional.empty();
    }

    /** The expression with the types that its names have here. */
    private Optional<Composite> composite(Expression expression, List<Watched> watched, Position at) {
        List<Composite.Operand> operands = new ArrayList<>();
        for (int i = 0; i < watched.size(); i++) {
            operands.add(operand(expression.names().get(i), watched.get(i).point()));
        }
        Expression.Read<Composite> read = checked.computeIfAbsent(
                new Checked(expression, operands), c -> c.expression().check(c.operands()));
        read.mistakes().forEach(m -> error(at, m.what() + ", at character " + m.character(), m.remedy()));
        return read.result();
    }

    private static Composite.Operand operand(String name, DeviceKind.@Nullable Point point) {
        if (point == null) {
            return Composite.Operand.indication(name);
        }
        if (point.isField()) {
            return Composite.Operand.field(name, point.texts());
        }
        DeviceKind.Range range = point.range();
        return range == null
                ? Composite.Operand.number(name)
                : Composite.Operand.number(name, range.low(), range.high());
    }

    private Optional<RuleInstance.Suppression> suppression(AlarmRule rule, Target target) {
        Position at = rule.places().at("suppressed_when");
        List<String> causes = commonCauses(rule, target);
        Expression when = withCommonCauses(rule.suppressedWhen(), causes, at);
        if (when == null) {
            return Optional.empty();
        }
        String id = rule.suppressedWhen() == null ? String.join(" or ", causes) : rule.key() + ".suppressed-when";
        List<Watched> watched = new ArrayList<>();
        for (String name : when.names()) {
            watchAny(target, when, Condition.SignalName.inExpression(name), at).ifPresent(watched::add);
        }
        if (watched.size() < when.names().size()) {
            return Optional.empty();
        }
        return composite(when, watched, at)
                .map(c -> new RuleInstance.Suppression(
                        id, c, watched.stream().map(Watched::id).toList()));
    }

    /**
     * What is lost, or just back, where one alarm speaks for a lost device and others: each as a name in an
     * expression.
     */
    private List<String> commonCauses(AlarmRule rule, Target target) {
        StationFacts.Device device = target.device();
        List<String> causes = new ArrayList<>();
        if (device != null && rule.condition() instanceof Condition.CommunicationLost) {
            for (Shared shared : station.sharedBy(device.id())) {
                StationFacts.Device thing = devices.get(shared.id());
                if (thing != null) {
                    thing.kind()
                            .indications()
                            .forEach(i -> causes.add(Condition.SignalName.spelt(thing.id()) + "."
                                    + Condition.SignalName.spelt(i.name())));
                }
            }
        }
        return causes;
    }

    private @Nullable Expression withCommonCauses(@Nullable Expression own, List<String> causes, Position at) {
        if (causes.isEmpty()) {
            return own;
        }
        String text = String.join(" || ", causes) + (own == null ? "" : " || (" + own.text() + ")");
        Expression.Read<Expression> read = Expression.read(text);
        read.mistakes().forEach(m -> error(at, "with the loss of what the device shares: " + m.what(), m.remedy()));
        return read.result().orElse(null);
    }

    private Optional<StationFacts.Device> deviceOf(
            Target target, Condition.SignalName name, Position at, String spelling) {
        String wanted = name.device();
        if (wanted == null) {
            StationFacts.Device own = target.device();
            if (own == null) {
                error(
                        at,
                        "`" + name + "` does not say of which device, and the rule is on an asset",
                        "write " + spelling);
            }
            return Optional.ofNullable(own);
        }
        StationFacts.Device thing = devices.get(wanted);
        if (thing != null && station.shared().stream().anyMatch(s -> s.id().equals(wanted))) {
            return Optional.of(thing);
        }
        List<StationFacts.Device> ofAsset = byAsset.getOrDefault(target.asset().id(), List.of());
        List<StationFacts.Device> named =
                ofAsset.stream().filter(d -> d.id().equals(wanted)).toList();
        List<StationFacts.Device> found = named.isEmpty()
                ? ofAsset.stream().filter(d -> d.kind().map().equals(wanted)).toList()
                : named;
        if (found.size() == 1) {
            return Optional.of(found.get(0));
        }
        if (found.isEmpty()) {
            Set<String> known = new LinkedHashSet<>();
            ofAsset.forEach(d -> known.add(d.id()));
            ofAsset.forEach(d -> known.add(d.kind().map()));
            error(
                    at,
                    "the asset `" + target.asset().id() + "` has no device or map `" + wanted + "`",
                    didYouMean(wanted, known, "write one of"));
        } else {
            error(
                    at,
                    "the asset `" + target.asset().id() + "` has several devices of the map `" + wanted + "`",
                    "name the device: "
                            + String.join(
                                    ", ",
                                    found.stream().map(StationFacts.Device::id).toList()));
        }
        return Optional.empty();
    }

    private static Position place(AlarmRule rule, Condition.SignalName name) {
        Condition condition = rule.condition();
        String key = "communication";
        if (condition instanceof Condition.Level level) {
            key = name.equals(level.over()) && !name.equals(level.reading()) ? "over" : "level";
        } else if (condition instanceof Condition.Discrepancy discrepancy) {
            key = name.equals(discrepancy.against()) ? "against" : "discrepancy";
        } else if (condition instanceof Condition.RateOfChange) {
            key = "rate";
        } else if (condition instanceof Condition.Composed) {
            key = "expression";
        } else if (condition instanceof Condition.Overdue) {
            key = "overdue";
        } else if (condition instanceof Condition.IndicationIs) {
            key = "indication";
        } else if (condition instanceof Condition.FieldSays) {
            key = "field";
        }
        return rule.places().at("when", key);
    }

    private void tellUnknown(
            Position at, DeviceKind kind, String what, String name, Set<String> known, Set<String> others) {
        String remedy = others.contains(name)
                ? "`" + name + "` is "
                        + (what.equals("point") ? "an indication; use indication:" : "a point; use level:")
                : didYouMean(name, known, "the map has");
        error(at, "the map `" + kind.map() + "` has no " + what + " `" + name + "`", remedy);
    }

    private static Set<String> pointNames(DeviceKind kind) {
        Set<String> names = new LinkedHashSet<>();
        kind.points().forEach(p -> names.add(p.name()));
        return names;
    }

    private static Set<String> indicationNames(DeviceKind kind) {
        Set<String> names = new LinkedHashSet<>();
        kind.indications().forEach(i -> names.add(i.name()));
        return names;
    }

    // ---- levels

    private Condition condition(
            AlarmRule rule,
            AlarmRule.@Nullable Deviation override,
            List<Watched> watched,
            RuleDefaults.Debounce debounce) {
        if (rule.condition() instanceof Condition.Composed composed) {
            Composite composite = composite(
                            composed.expression(), watched, rule.places().at("when", "expression"))
                    .orElse(null);
            return new Condition.Composed(composed.expression(), composed.names(), composite);
        }
        DeviceKind.Point point = watched.get(0).point();
        if (!(rule.condition() instanceof Condition.Limited limited) || point == null) {
            return rule.condition();
        }
        DeviceKind.Point second = watched.size() < 2 ? null : watched.get(1).point();
        checkUnit(rule, limited, point, second);
        Object[] root = override != null && override.limits() != null
                ? new Object[] {"overrides", override.of()}
                : new Object[] {"when"};
        List<Condition.Limit> limits = limits(rule, limited, override);
        double deadband = deadband(rule, override, limited, limits, debounce, point);
        checkLimits(rule, root, limited, limits, range(limited, point, second), deadband);
        return limited.with(limits, deadband);
    }

    private List<Condition.Limit> limits(
            AlarmRule rule, Condition.Limited level, AlarmRule.@Nullable Deviation override) {
        if (override == null) {
            return level.limits();
        }
        List<Condition.Limit> own = override.limits();
        if (own != null) {
            return own;
        }
        Priority priority = override.priority();
        if (priority == null) {
            return level.limits();
        }
        if (level.limits().size() > 1) {
            error(
                    rule.places().at("overrides", override.of(), "priority"),
                    "the level has several limits, each with its own priority",
                    "override the limits instead");
            return level.limits();
        }
        return level.limits().stream()
                .map(l -> new Condition.Limit(l.value(), priority))
                .toList();
    }

    private void checkUnit(
            AlarmRule rule, Condition.Limited limited, DeviceKind.Point point, DeviceKind.@Nullable Point second) {
        if (second != null && !second.unit().equals(point.unit())) {
            error(
                    rule.places().at("when", limited instanceof Condition.Level ? "over" : "against"),
                    "`" + point.name() + "` is in " + named(point.unit()) + " and `" + second.name() + "` in "
                            + named(second.unit()),
                    "compare readings of one unit");
            return;
        }
        String wanted = wantedUnit(limited, point, second);
        if (limited.unit().isEmpty() && !wanted.isEmpty()) {
            error(
                    rule.places().at("when", kind(limited)),
                    "the unit of the limits is not given",
                    "add unit: " + wanted);
        } else if (!limited.unit().equals(wanted)) {
            error(
                    rule.places().at("when", "unit"),
                    "the limits are in " + limited.unit() + ", the reading is in " + named(point.unit()),
                    "write the limits in " + named(wanted));
        }
    }

    private static String kind(Condition.Limited limited) {
        return limited instanceof Condition.Level
                ? "level"
                : limited instanceof Condition.RateOfChange ? "rate" : "discrepancy";
    }

    private static String wantedUnit(
            Condition.Limited limited, DeviceKind.Point point, DeviceKind.@Nullable Point second) {
        boolean difference = second != null || limited instanceof Condition.RateOfChange;
        String unit = difference && point.unit().equals("degC") ? "K" : point.unit();
        if (limited instanceof Condition.RateOfChange) {
            String written = limited.unit();
            int slash = written.lastIndexOf('/');
            return unit + (slash < 0 ? "/d" : written.substring(slash));
        }
        return limited instanceof Condition.Discrepancy discrepancy && discrepancy.percent() ? "%" : unit;
    }

    private static String named(String unit) {
        return unit.isEmpty() ? "no unit" : unit;
    }

    /** What the number that is held against the limits can be. */
    private static DeviceKind.@Nullable Range range(
            Condition.Limited limited, DeviceKind.Point point, DeviceKind.@Nullable Point second) {
        DeviceKind.Range own = point.range();
        DeviceKind.Range other = second == null ? null : second.range();
        if (limited instanceof Condition.Discrepancy discrepancy && discrepancy.percent()) {
            return new DeviceKind.Range(0, 200);
        }
        if (own == null || (second != null && other == null)) {
            return null;
        }
        if (limited instanceof Condition.RateOfChange rate) {
            double most = own.span() * rate.per().toMillis() / rate.window().toMillis();
            return new DeviceKind.Range(-most, most);
        }
        if (other == null) {
            return own;
        }
        return limited instanceof Condition.Discrepancy
                ? new DeviceKind.Range(0, Math.max(own.high() - other.low(), other.high() - own.low()))
                : new DeviceKind.Range(own.low() - other.high(), own.high() - other.low());
    }

    private double deadband(
            AlarmRule rule,
            AlarmRule.@Nullable Deviation override,
            Condition.Limited limited,
            List<Condition.Limit> limits,
            RuleDefaults.Debounce debounce,
            DeviceKind.Point point) {
        AlarmRule.Deadband stated =
                override != null && override.deadband() != null ? override.deadband() : rule.deadband();
        DeviceKind.Range range = point.range();
        if (stated == null) {
            if (!(limited instanceof Condition.Level)) {
                return limits.isEmpty() ? 0 : Math.abs(limits.get(0).value()) * RuleDefaults.PERCENT_OF_LIMIT / 100;
            }
            return range == null ? 0 : range.span() * debounce.deadbandPercent() / 100;
        }
        if (!stated.percent()) {
            return stated.value();
        }
        if (range == null) {
            error(
                    rule.places().at("when", "deadband_percent"),
                    "the map states no range of `" + point.name() + "` to take a percentage of",
                    "write deadband: in the unit, or add a range to the map");
            return 0;
        }
        return range.span() * stated.value() / 100;
    }

    private void checkLimits(
            AlarmRule rule,
            Object[] root,
            Condition.Limited level,
            List<Condition.Limit> limits,
            DeviceKind.@Nullable Range range,
            double deadband) {
        boolean high = level.direction() == Condition.Direction.HIGH;
        for (int i = 0; i < limits.size() && range != null; i++) {
            double limit = limits.get(i).value();
            Position at = limitPlace(rule, root, high, i);
            String shown = PlainNumber.of(range.low()) + " to " + PlainNumber.of(range.high());
            if (limit < range.low() || limit > range.high()) {
                error(
                        at,
                        "the limit " + PlainNumber.of(limit) + " lies outside the range " + shown
                                + (level instanceof Condition.Level ? " of the reading" : " that its readings allow")
                                + ", so it can never be reached rightly",
                        "write a limit inside the range, or correct the range in the map");
            } else if (high ? limit - deadband < range.low() : limit + deadband > range.high()) {
                warning(
                        at,
                        "with its deadband of " + PlainNumber.of(deadband) + " the alarm can never return inside "
                                + "the range " + shown,
                        "make the deadband smaller");
            }
        }
        if (!limits.isEmpty()
                && root[0].equals("when")
                && limits.get(0).priority() != rule.record().priority()) {
            warning(
                    rule.places().at("priority"),
                    "the rule's priority differs from that of its first limit, which prevails",
                    "write the same priority");
        }
    }

    private static Position limitPlace(AlarmRule rule, Object[] root, boolean high, int index) {
        Object[] path = new Object[root.length + 3];
        System.arraycopy(root, 0, path, 0, root.length);
        path[root.length] = high ? "high" : "low";
        path[root.length + 1] = index;
        path[root.length + 2] = "limit";
        return rule.places().at(path);
    }

    private void checkCanFire(AlarmRule rule, Condition condition, List<Watched> watched) {
        if (condition instanceof Condition.Overdue) {
            Watched only = watched.get(0);
            DeviceKind.Point point = only.point();
            boolean ages = point != null
                    && (!point.staleAfter().isZero()
                            || !point.updatePeriod().isZero()
                            || only.device().kind().blocks().stream()
                                    .anyMatch(b -> b.signals().contains(point.name())
                                            && !b.period().isZero()));
            if (!ages) {
                warning(
                        rule.places().at("when", "overdue"),
                        "nothing says how often `" + only.id().name() + "` comes, so it can never be overdue",
                        "add update: to the point in the map");
            }
        }
        for (Watched each : watched) {
            String name = each.id().name();
            boolean carried = name.equals(DeviceKind.COMMUNICATION_LOST)
                    || each.device().kind().features().stream()
                            .anyMatch(f -> f.indication().equals(name))
                    || each.device().kind().blocks().stream()
                            .anyMatch(b -> b.signals().contains(name));
            if (!carried) {
                warning(
                        place(rule, new Condition.SignalName(null, name)),
                        "no request of the map `" + each.device().kind().map() + "` fetches `" + name
                                + "`, so the rule can never fire",
                        "correct the map");
            }
        }
    }

    // ---- policy

    private static AlarmPolicy policy(
            AlarmRule rule,
            AlarmRule.@Nullable Deviation override,
            Condition condition,
            RuleDefaults.Debounce debounce) {
        AlarmRule.Behaviour own = rule.behaviour();
        AlarmRule.Behaviour other = override == null ? own : override.behaviour();
        RuleDefaults.ClassAttributes attributes =
                RuleDefaults.attributes(rule.record().alarmClass());
        Priority priority = override != null && override.priority() != null
                ? override.priority()
                : rule.record().priority();
        if (condition instanceof Condition.Limited level && !level.limits().isEmpty()) {
            priority = level.limits().get(0).priority();
        }
        boolean shelvable = first(own.shelvingAllowed(), null, attributes.shelvingAllowed());
        Duration longest = first(
                own.maxShelveTime(),
                null,
                attributes.longestShelving().isZero() ? Duration.ofHours(1) : attributes.longestShelving());
        return new AlarmPolicy(
                rule.record().alarmClass(),
                priority,
                first(other.onDelay(), own.onDelay(), onDelay(own, other, debounce)),
                first(other.offDelay(), own.offDelay(), offDelay(own, other, debounce)),
                first(other.onSamples(), own.onSamples(), onSamples(own, other, debounce)),
                first(other.offSamples(), own.offSamples(), offSamples(own, other, debounce)),
                first(own.latching(), null, attributes.latching()),
                first(own.acknowledgement(), null, Acknowledgement.BY_PERSON),
                first(own.confirmation(), null, false),
                first(other.reAlarmTime(), own.reAlarmTime(), Duration.ZERO),
                shelvable,
                shelvable ? longest : Duration.ZERO,
                !RuleDefaults.protects(rule.record().alarmClass())
                        && first(own.suppressible(), null, attributes.suppressible()));
    }

    private static AlarmRule.@Nullable Agreement agreement(AlarmRule rule, AlarmRule.@Nullable Deviation override) {
        AlarmRule.Agreement own = rule.behaviour().agree();
        if (override == null) {
            return own;
        }
        AlarmRule.Behaviour other = override.behaviour();
        boolean counts = other.onSamples() != null || other.offSamples() != null;
        return other.agree() != null ? other.agree() : counts ? null : own;
    }

    // Who states a delay in time or in samples means that one alone; the default of the other would add to it.

    private static Duration onDelay(
            AlarmRule.Behaviour own, AlarmRule.Behaviour other, RuleDefaults.Debounce debounce) {
        return counts(own, other) || other.onSamples() != null || own.onSamples() != null
                ? Duration.ZERO
                : debounce.onDelay();
    }

    private static Duration offDelay(
            AlarmRule.Behaviour own, AlarmRule.Behaviour other, RuleDefaults.Debounce debounce) {
        return counts(own, other) || other.offSamples() != null || own.offSamples() != null
                ? Duration.ZERO
                : debounce.offDelay();
    }

    private static int onSamples(AlarmRule.Behaviour own, AlarmRule.Behaviour other, RuleDefaults.Debounce debounce) {
        return counts(own, other) || other.onDelay() != null || own.onDelay() != null ? 1 : debounce.onSamples();
    }

    private static int offSamples(AlarmRule.Behaviour own, AlarmRule.Behaviour other, RuleDefaults.Debounce debounce) {
        return counts(own, other) || other.offDelay() != null || own.offDelay() != null ? 1 : debounce.offSamples();
    }

    private static boolean counts(AlarmRule.Behaviour own, AlarmRule.Behaviour other) {
        return own.agree() != null || other.agree() != null;
    }

    private static <T> T first(@Nullable T most, @Nullable T next, T otherwise) {
        if (most != null) {
            return most;
        }
        return next != null ? next : otherwise;
    }

    // ---- first checks and words

    private List<FirstCheck> checks(AlarmRule rule, Target target, List<Watched> watched) {
        Set<DeviceKind> kinds = new LinkedHashSet<>();
        if (target.device() != null) {
            kinds.add(target.device().kind());
        }
        watched.forEach(w -> kinds.add(w.device().kind()));
        List<FirstCheck> checks = new ArrayList<>();
        for (int i = 0; i < rule.checkOrder().size(); i++) {
            String name = rule.checkOrder().get(i);
            Optional<FirstCheck> own =
                    rule.checks().stream().filter(c -> c.id().equals(name)).findFirst();
            Optional<FirstCheck> found = own.or(() -> kinds.stream()
                    .map(k -> k.check(name))
                    .flatMap(Optional::stream)
                    .findFirst());
            if (found.isPresent()) {
                checks.add(found.get());
            } else {
                Set<String> known = new LinkedHashSet<>();
                kinds.forEach(k -> k.checks().forEach(c -> known.add(c.id())));
                error(
                        rule.places().at("first_checks", i),
                        "neither this file nor the device map has a first check `" + name + "`",
                        didYouMean(name, known, "the map has"));
            }
        }
        if (checks.isEmpty()) {
            for (Watched each : watched) {
                if (each.indication() != null) {
                    checks.addAll(each.indication().checks());
                }
            }
        }
        checks.sort((a, b) -> Integer.compare(a.exposure(), b.exposure()));
        return checks;
    }

    private void checkHeadline(AlarmRule rule, RuleInstance instance) {
        String headline = instance.asset().name() + ": " + Words.filled(rule.says(), instance, "20000", "20000");
        if (headline.length() > LONGEST_HEADLINE) {
            warning(
                    rule.places().at("says"),
                    "the headline `" + headline + "` has " + headline.length() + " characters",
                    "shorten it to " + LONGEST_HEADLINE + "; it is cut there");
        }
    }

    // ---- problems

    private static String didYouMean(String word, Collection<String> known, String otherwise) {
        return Suggestion.closest(word, known)
                .map(close -> "did you mean " + close + "?")
                .orElse(known.isEmpty() ? "there is none" : otherwise + " " + String.join(", ", known));
    }

    private void error(Position at, String what, String remedy) {
        problems.add(Problem.error(at, what, remedy));
    }

    private void warning(Position at, String what, String remedy) {
        problems.add(Problem.warning(at, what, remedy));
    }
}
