package oilbird.alarm.diagnosis;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.transformer.derived.DerivedSignals;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problem;
import oilbird.mapping.text.Suggestion;
import org.jspecify.annotations.Nullable;

/** Binds fault models to the devices of a station, and what these share to causes of its own. */
public final class CauseBinder {
    /** How often a sign shows without a listed cause, where the file does not say: our own estimate. */
    static final Rate OTHERWISE = new Rate(0.005, "estimate of the gateway: once in 200 years");

    /** The same for silence. */
    private static final Rate SILENT_OTHERWISE = new Rate(0.05, "estimate of the gateway: once in 20 years");

    private static final Position NOWHERE = new Position("", 1, 1);

    private final StationFacts station;
    private final Map<AlarmId, RuleInstance> rules = new LinkedHashMap<>();
    private final Map<String, FaultModel> models = new LinkedHashMap<>();
    // The same mistake on a thousand devices is one mistake.
    private final Set<Problem> problems = new LinkedHashSet<>();
    private final Map<Sign, Integer> signs = new LinkedHashMap<>();
    private final List<Rate> otherwise = new ArrayList<>();
    private final List<CauseInstance> causes = new ArrayList<>();

    private CauseBinder(StationFacts station, List<RuleInstance> rules) {
        this.station = station;
        rules.forEach(r -> this.rules.put(r.id(), r));
    }

    /**
     * The causes of the station, in the order of its devices, then of what they share.
     *
     * @param maps ids of all device maps that the station has files of, in use or not.
     */
    public static Loaded<StationCauses> bind(
            List<FaultModel> models, StationFacts station, List<RuleInstance> rules, Collection<String> maps) {
        CauseBinder binder = new CauseBinder(station, rules);
        models.forEach(model -> binder.add(model, maps));
        station.devices().forEach(binder::bind);
        station.devices().forEach(binder::bindSilence);
        station.shared().forEach(binder::bind);
        List<DeviceChecks> checks = binder.checks();
        boolean refused = binder.problems.stream().anyMatch(p -> p.severity() == Problem.Severity.ERROR);
        StationCauses bound =
                new StationCauses(List.copyOf(binder.signs.keySet()), binder.otherwise, binder.causes, checks);
        return new Loaded<>(refused ? null : bound, List.copyOf(binder.problems));
    }

    private void add(FaultModel model, Collection<String> maps) {
        Set<String> known = new LinkedHashSet<>(maps);
        station.devices().forEach(d -> known.add(d.kind().map()));
        if (!known.contains(model.map())) {
            error(
                    model.mapPosition(),
                    "there is no device map `" + model.map() + "`",
                    didYouMean(model.map(), known, "write one of"));
            return;
        }
        FaultModel first = models.putIfAbsent(model.map(), model);
        if (first != null) {
            error(
                    model.mapPosition(),
                    "the map `" + model.map() + "` has a fault model already, in " + first.file(),
                    "put the causes of one map into one file");
        }
    }

    // ---- causes of a device

    private void bind(StationFacts.Device device) {
        FaultModel model = models.get(device.kind().map());
        StationFacts.Asset asset = station.asset(device.asset()).orElse(null);
        if (model == null || asset == null) {
            return;
        }
        for (Cause cause : model.causes()) {
            List<CauseInstance.Edge> edges = new ArrayList<>();
            cause.produces().forEach(p -> edges(device, model, p, edges));
            List<CauseInstance.BoundSupport> supports = new ArrayList<>();
            cause.supports().forEach(s -> support(device, s).ifPresent(supports::add));
            List<CauseInstance.Doubted> makes = new ArrayList<>();
            cause.makes().forEach(m -> doubted(device, m, makes));
            if (!edges.isEmpty()) {
                causes.add(new CauseInstance(
                        device.id() + "." + cause.name(),
                        cause,
                        cause.says().replace("{device}", device.name()).replace("{asset}", asset.name()),
                        List.of(asset),
                        device,
                        null,
                        edges,
                        supports,
                        makes));
            }
        }
    }

    private void edges(StationFacts.Device own, FaultModel model, Produced produced, List<CauseInstance.Edge> edges) {
        for (Sign sign : signs(own, produced.sign(), produced.position())) {
            int index = index(sign, model.otherwise().getOrDefault(produced.sign(), OTHERWISE));
            if (edges.stream().anyMatch(e -> e.sign() == index)) {
                error(
                        produced.position(),
                        "the cause produces `" + produced.sign() + "` twice",
                        "delete one of the two");
            } else {
                edges.add(new CauseInstance.Edge(index, produced.probability(), produced.within(), produced.lasts()));
            }
        }
    }

    private int index(Sign sign, Rate rate) {
        Integer known = signs.get(sign);
        if (known == null) {
            signs.put(sign, signs.size());
            otherwise.add(rate);
            return signs.size() - 1;
        }
        // Whoever states a rate is heard, whichever model names the sign first.
        if (!rate.equals(OTHERWISE)) {
            otherwise.set(known, rate);
        }
        return known;
    }

    /** The devices that a name means: the own one, or those of another map on the same asset. */
    private List<StationFacts.Device> devices(StationFacts.Device own, @Nullable String map, Position at) {
        if (map == null) {
            return List.of(own);
        }
        List<StationFacts.Device> ofMap = station.devices().stream()
                .filter(d -> d.kind().map().equals(map))
                .toList();
        if (ofMap.isEmpty() && !map.equals(DerivedSignals.MAP)) {
            warning(
                    at,
                    "no device of this station has the map `" + map + "`, so this does nothing here",
                    "add the device, or leave it as it is where the file serves several stations");
        }
        return ofMap.stream().filter(d -> d.asset().equals(own.asset())).toList();
    }

    private List<Sign> signs(StationFacts.Device own, SignName name, Position at) {
        List<Sign> found = new ArrayList<>();
        for (StationFacts.Device device : devices(own, name.map(), at)) {
            if (name.alarm()) {
                alarm(device, name.name(), at).ifPresent(found::add);
            } else if (hasIndication(device, name.name(), at)) {
                found.add(Sign.of(new SignalId(device.id(), name.name())));
            }
        }
        return found;
    }

    private boolean hasIndication(StationFacts.Device device, String name, Position at) {
        if (name.equals(DeviceKind.COMMUNICATION_LOST)
                || device.kind().indication(name).isPresent()) {
            return true;
        }
        List<String> known = new ArrayList<>(device.kind().indications().stream()
                .map(DeviceKind.NamedIndication::name)
                .toList());
        known.add(DeviceKind.COMMUNICATION_LOST);
        boolean rule = rules.keySet().stream().anyMatch(id -> id.rule().equals(device.id() + "." + name));
        error(
                at,
                "the map `" + device.kind().map() + "` has no indication `" + name + "`",
                rule ? "write it under raises, as it is the key of a rule" : didYouMean(name, known, "write one of"));
        return false;
    }

    private Optional<Sign> alarm(StationFacts.Device device, String key, Position at) {
        AlarmId ofDevice = new AlarmId(device.asset(), device.id() + "." + key);
        AlarmId ofAsset = new AlarmId(device.asset(), key);
        AlarmId id = rules.containsKey(ofDevice) ? ofDevice : ofAsset;
        RuleInstance rule = rules.get(id);
        if (rule == null) {
            boolean elsewhere =
                    rules.values().stream().anyMatch(r -> r.rule().key().equals(key));
            if (!elsewhere) {
                Set<String> known = new LinkedHashSet<>();
                rules.values().forEach(r -> known.add(r.rule().key()));
                warning(
                        at,
                        "no rule has the key `" + key + "`, so the cause cannot show itself by it",
                        didYouMean(key, known, "write one of"));
            }
            return Optional.empty();
        }
        SignalId told = tellsTheSame(rule);
        if (told != null) {
            warning(
                    at,
                    "the rule `" + key + "` tells of the indication `" + told.name() + "` and of nothing else",
                    "write " + told.name() + " under produces: an indication and its alarm are one sign");
            return Optional.of(Sign.of(told));
        }
        return Optional.of(Sign.of(id));
    }

    /** The indication that an alarm stands for when it holds, or null where the alarm has a condition of its own. */
    public static @Nullable SignalId tellsTheSame(RuleInstance rule) {
        Condition condition = rule.condition();
        boolean holds = condition instanceof Condition.IndicationIs is && is.holds();
        return holds || condition instanceof Condition.CommunicationLost
                ? rule.inputs().get(0)
                : null;
    }

    private Optional<CauseInstance.BoundSupport> support(StationFacts.Device own, Support support) {
        if (support.seen() instanceof Support.OfIndication of) {
            for (StationFacts.Device device : devices(own, of.indication().map(), support.position())) {
                if (hasIndication(device, of.indication().name(), support.position())) {
                    SignalId id = new SignalId(device.id(), of.indication().name());
                    return Optional.of(new CauseInstance.BoundSupport(support, id, null));
                }
            }
            return Optional.empty();
        }
        Support.OfReading of = (Support.OfReading) support.seen();
        for (StationFacts.Device device : devices(own, of.map(), support.position())) {
            Optional<DeviceKind.Point> point = point(device, of.point(), support.position());
            Optional<DeviceKind.Point> over =
                    of.over() == null ? Optional.empty() : point(device, of.over(), support.position());
            if (point.isEmpty() || (of.over() != null && over.isEmpty())) {
                return Optional.empty();
            }
            String unit = over.isPresent() && point.get().unit().equals("degC")
                    ? "K"
                    : point.get().unit();
            if (!unit.equals(of.unit())) {
                error(
                        support.position(),
                        "the limit is in `" + of.unit() + "`, and `" + of.point() + "` is read in `" + unit + "`",
                        "write the limit in " + unit);
            }
            return Optional.of(new CauseInstance.BoundSupport(
                    support,
                    new SignalId(device.id(), of.point()),
                    of.over() == null ? null : new SignalId(device.id(), of.over())));
        }
        return Optional.empty();
    }

    private Optional<DeviceKind.Point> point(StationFacts.Device device, String name, Position at) {
        Optional<DeviceKind.Point> point = device.kind().point(name);
        if (point.isEmpty()) {
            List<String> known =
                    device.kind().points().stream().map(DeviceKind.Point::name).toList();
            error(
                    at,
                    "the map `" + device.kind().map() + "` has no point `" + name + "`",
                    didYouMean(name, known, "write one of"));
        }
        return point;
    }

    private void doubted(StationFacts.Device device, Cause.Makes makes, List<CauseInstance.Doubted> into) {
        List<DeviceKind.Point> meant = device.kind().points().stream()
                .filter(p -> p.name().equals(makes.name()) || p.group().equals(makes.name()))
                .toList();
        if (meant.isEmpty()) {
            Set<String> known = new LinkedHashSet<>();
            device.kind().points().forEach(p -> {
                known.add(p.name());
                if (!p.group().isEmpty()) {
                    known.add(p.group());
                }
            });
            error(
                    makes.position(),
                    "the map `" + device.kind().map() + "` has no point or group `" + makes.name() + "`",
                    didYouMean(makes.name(), known, "write one of"));
        }
        for (DeviceKind.Point point : meant) {
            SignalId id = new SignalId(device.id(), point.name());
            if (into.stream().noneMatch(d -> d.reading().equals(id))) {
                into.add(new CauseInstance.Doubted(id, makes.worthless(), makes.periodsAfter()));
            }
        }
    }

    // ---- first checks

    private List<DeviceChecks> checks() {
        List<DeviceChecks> all = new ArrayList<>();
        for (StationFacts.Device device : station.devices()) {
            FaultModel model = models.get(device.kind().map());
            if (model != null) {
                CheckBinder binder = new CheckBinder(station, causes, model, device);
                all.add(binder.bind());
                problems.addAll(binder.problems());
            }
        }
        return all;
    }

    // ---- silence of one device

    /**
     * A device that shares something with others, and whose silence no fault model explains, gets a cause of its own for
     * it: the first that falls silent must not seem to have no likely cause until the others follow.
     */
    private void bindSilence(StationFacts.Device device) {
        boolean shares = station.shared().stream()
                .anyMatch(s -> s.kind() != Shared.Kind.PROBE_PAIR && s.devices().contains(device.id()));
        StationFacts.Asset asset = station.asset(device.asset()).orElse(null);
        if (asset == null || !shares || explainsSilence(models.get(device.kind().map()))) {
            return;
        }
        Sign silent = Sign.of(new SignalId(device.id(), DeviceKind.COMMUNICATION_LOST));
        Cause cause = CommonCauses.SILENT;
        causes.add(new CauseInstance(
                device.id() + "." + cause.name(),
                cause,
                cause.says().replace("{device}", device.name()),
                List.of(asset),
                device,
                null,
                List.of(new CauseInstance.Edge(index(silent, SILENT_OTHERWISE), 0.98, Duration.ofMinutes(3), null)),
                List.of(),
                List.of()));
    }

    private static boolean explainsSilence(@Nullable FaultModel model) {
        SignName silence = new SignName(null, DeviceKind.COMMUNICATION_LOST, false);
        return model != null
                && model.causes().stream()
                        .anyMatch(c ->
                                c.produces().stream().anyMatch(p -> p.sign().equals(silence)));
    }

    // ---- what devices share

    private void bind(Shared shared) {
        if (shared.kind() == Shared.Kind.PROBE_PAIR) {
            return; // its two devices have causes of their own for a divergence
        }
        Cause cause = CommonCauses.of(shared);
        List<CauseInstance.Edge> edges = new ArrayList<>();
        List<StationFacts.Asset> assets = new ArrayList<>();
        station.asset(shared.asset()).ifPresent(assets::add);
        for (String id : shared.devices()) {
            StationFacts.Device device = station.device(id).orElse(null);
            if (device == null) {
                continue;
            }
            station.asset(device.asset()).filter(a -> !assets.contains(a)).ifPresent(assets::add);
            FaultModel model = models.get(device.kind().map());
            List<Produced> produced = model == null ? null : model.shared().get(shared.kind());
            for (Produced each : produced == null ? CommonCauses.PRODUCED : produced) {
                Rate rate = otherwise(model, each.sign());
                for (Sign sign : signs(device, each.sign(), each.position())) {
                    edges.add(
                            new CauseInstance.Edge(index(sign, rate), each.probability(), each.within(), each.lasts()));
                }
            }
        }
        // What speaks for several devices at once has an indication of its own where the station makes one.
        station.device(shared.id())
                .filter(thing -> thing.kind().indication(CommonCauses.LOST).isPresent())
                .ifPresent(thing -> edges.add(new CauseInstance.Edge(
                        index(Sign.of(new SignalId(thing.id(), CommonCauses.LOST)), OTHERWISE),
                        0.95,
                        Duration.ofMinutes(2),
                        null)));
        if (!edges.isEmpty()) {
            causes.add(new CauseInstance(
                    shared.id() + "." + cause.name(),
                    cause,
                    "the " + shared.name() + " " + cause.says(),
                    assets,
                    null,
                    shared,
                    edges,
                    List.of(),
                    List.of()));
        }
    }

    private static Rate otherwise(@Nullable FaultModel model, SignName sign) {
        Rate unlisted = sign.name().equals(DeviceKind.COMMUNICATION_LOST) ? SILENT_OTHERWISE : OTHERWISE;
        return model == null ? unlisted : model.otherwise().getOrDefault(sign, unlisted);
    }

    /** Causes of what devices share; rates and probabilities are estimates of our own. */
    private static final class CommonCauses {
        /** The indication by which a shared thing is known to be lost. */
        static final String LOST = "lost";

        private static final String ORIGIN = "estimate of the gateway, common practice";
        /** What a device shows where its fault model does not say. */
        static final List<Produced> PRODUCED = List.of(new Produced(
                new SignName(null, DeviceKind.COMMUNICATION_LOST, false), 0.95, Duration.ofMinutes(1), null, NOWHERE));

        /** A device that falls silent by itself. */
        static final Cause SILENT = cause(
                DeviceKind.COMMUNICATION_LOST,
                "the way to the {device}, or the {device} itself, has failed",
                Trouble.COMMUNICATION,
                0.5,
                "communications technician");

        static Cause of(Shared shared) {
            return switch (shared.kind()) {
                case AUXILIARY_SUPPLY -> failed("has failed", Trouble.MONITOR, 0.1, "substation technician");
                case NETWORK_SWITCH ->
                    failed("has failed or is cut off", Trouble.COMMUNICATION, 0.1, "communications technician");
                case SERIAL_LINE ->
                    failed("is broken or disturbed", Trouble.COMMUNICATION, 0.2, "communications technician");
                case MODBUS_GATEWAY -> failed("has failed", Trouble.COMMUNICATION, 0.1, "communications technician");
                case PROBE_PAIR -> throw new IllegalArgumentException("a probe pair has no cause of its own");
            };
        }

        private static Cause failed(String says, Trouble trouble, double perYear, String call) {
            return cause("failed", says, trouble, perYear, call);
        }

        private static Cause cause(String name, String says, Trouble trouble, double perYear, String call) {
            return new Cause(
                    name,
                    says,
                    trouble,
                    new Rate(perYear, ORIGIN),
                    List.of(),
                    List.of(),
                    List.of(),
                    false,
                    call,
                    Duration.ofHours(8),
                    List.of(),
                    List.of(),
                    List.of(),
                    Proving.UNSTATED,
                    NOWHERE);
        }
    }

    // ---- problems

    private static String didYouMean(String word, Collection<String> known, String otherwise) {
        return Suggestion.closest(word, known)
                .map(close -> "did you mean " + close + "?")
                .orElseGet(() -> known.isEmpty() ? "there is none" : otherwise + " " + String.join(", ", known));
    }

    private void error(Position at, String what, String remedy) {
        problems.add(Problem.error(at, what, remedy));
    }

    private void warning(Position at, String what, String remedy) {
        problems.add(Problem.warning(at, what, remedy));
    }
}
