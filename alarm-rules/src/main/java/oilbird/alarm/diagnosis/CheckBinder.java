package oilbird.alarm.diagnosis;

import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.StationFacts;
import oilbird.mapping.check.CheckLinks;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.Supply;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problem;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.Suggestion;
import org.jspecify.annotations.Nullable;

/** Binds the first checks of a fault model and of its device map to one device, and tells of ways that lead nowhere. */
final class CheckBinder {
    /** Before the kind of a shared thing: {@code shared/auxiliary-supply}. */
    private static final String SHARED = "shared";

    private final StationFacts station;
    private final List<CauseInstance> causes;
    private final FaultModel model;
    private final StationFacts.Device device;
    private final Problems problems = new Problems();
    private final Map<String, FirstCheck> checks = new LinkedHashMap<>();

    CheckBinder(StationFacts station, List<CauseInstance> causes, FaultModel model, StationFacts.Device device) {
        this.station = station;
        this.causes = causes;
        this.model = model;
        this.device = device;
    }

    List<Problem> problems() {
        return problems.list();
    }

    DeviceChecks bind() {
        Map<String, FirstCheck> own = model.checks().checks();
        Map<String, FirstCheck> ofMap = new LinkedHashMap<>();
        device.kind().checks().forEach(c -> ofMap.put(c.id(), c));
        checks.putAll(own);
        ofMap.forEach((name, check) -> {
            if (checks.putIfAbsent(name, check) != null) {
                problems.error(
                        position(name),
                        "the device map has a first check `" + name + "` already",
                        "give this one another name, or delete one of the two");
            }
        });
        CheckLinks.refuse(model.checks(), ofMap, problems);
        refuseUnknownNames();
        List<BoundCheck> bound = new ArrayList<>();
        checks.values().forEach(check -> bound.add(bound(check)));
        if (!own.isEmpty()) {
            refuseDeadEnds();
            refuseUnreachable(own);
        }
        return new DeviceChecks(
                device.id(),
                device.asset(),
                bound,
                model.order().stream().map(o -> device.id() + "." + o.check()).toList(),
                model.rated(),
                nominal());
    }

    private @Nullable Supply nominal() {
        return station.sharedBy(device.id()).stream()
                .map(Shared::nominal)
                .filter(Objects::nonNull)
                .findFirst()
                .orElse(null);
    }

    private BoundCheck bound(FirstCheck check) {
        Map<String, List<Double>> given = new LinkedHashMap<>();
        Set<String> named = new LinkedHashSet<>();
        check.outcomes().forEach(o -> named.addAll(o.given().keySet()));
        for (String cause : named) {
            if (!cause.equals(FirstCheck.Outcome.OTHERWISE)) {
                List<Double> distribution = BoundCheck.distribution(check, cause);
                meant(check, cause).forEach(id -> given.put(id, distribution));
            }
        }
        List<String> proves = new ArrayList<>();
        for (FirstCheck.Outcome outcome : check.outcomes()) {
            String cause = outcome.proves();
            List<String> meant = cause == null ? List.of() : meant(check, cause);
            proves.add(meant.isEmpty() ? "" : meant.get(0));
        }
        List<String> repairs = new ArrayList<>();
        check.work().repairs().forEach(cause -> repairs.addAll(meant(check, cause)));
        return new BoundCheck(
                device.id() + "." + check.id(),
                check,
                device.id(),
                device.asset(),
                given,
                BoundCheck.distribution(check, FirstCheck.Outcome.OTHERWISE),
                proves,
                repairs);
    }

    /** Ids of the causes that a name means, on this device, on another one of its asset or of what it shares. */
    private List<String> meant(FirstCheck check, String written) {
        int slash = written.indexOf('/');
        String name = written.substring(slash + 1);
        String map = slash < 0 ? null : written.substring(0, slash);
        List<String> known = new ArrayList<>();
        List<String> ids = new ArrayList<>();
        if (SHARED.equals(map)) {
            for (Shared.Kind kind : Shared.Kind.values()) {
                known.add(SHARED + "/" + kind.written());
            }
            station.sharedBy(device.id()).stream()
                    .filter(s -> s.kind().written().equals(name))
                    .flatMap(s -> causes.stream().filter(c -> s.equals(c.shared())))
                    .forEach(c -> ids.add(c.id()));
        } else {
            for (CauseInstance cause : causes) {
                StationFacts.Device of = cause.device();
                if (of != null
                        && (map == null
                                ? of.id().equals(device.id())
                                : of.kind().map().equals(map))) {
                    known.add(
                            map == null
                                    ? cause.cause().name()
                                    : map + "/" + cause.cause().name());
                    if (cause.cause().name().equals(name) && of.asset().equals(device.asset())) {
                        ids.add(cause.id());
                    }
                }
            }
            // A cause that shows itself by nothing on this station is known all the same.
            if (map == null) {
                model.causes().forEach(c -> known.add(c.name()));
            }
        }
        if (!known.contains(written) && (map == null || !known.isEmpty())) {
            problems.error(
                    position(check.id()),
                    "the check `" + check.id() + "` speaks of the cause `" + written + "`, which is not there",
                    didYouMean(written, known));
        }
        return ids;
    }

    private void refuseUnknownNames() {
        for (Cause cause : model.causes()) {
            for (String name : cause.firstChecks()) {
                if (!checks.containsKey(name)) {
                    problems.error(
                            cause.position(),
                            "neither this file nor the map `" + model.map() + "` has a first check `" + name + "`",
                            didYouMean(name, checks.keySet()));
                }
            }
            for (Proving.Wanted wanted : cause.proving().readings()) {
                if (device.kind().point(wanted.point()).isEmpty()) {
                    problems.error(
                            cause.position(),
                            "the map `" + model.map() + "` has no point `" + wanted.point() + "`",
                            didYouMean(
                                    wanted.point(),
                                    device.kind().points().stream()
                                            .map(p -> p.name())
                                            .toList()));
                }
            }
        }
        for (FaultModel.Ordered ordered : model.order()) {
            if (!checks.containsKey(ordered.check())) {
                problems.error(
                        ordered.position(),
                        "neither this file nor the map `" + model.map() + "` has a first check `" + ordered.check()
                                + "`",
                        didYouMean(ordered.check(), checks.keySet()));
            }
        }
    }

    // ---- ways that lead nowhere

    private void refuseDeadEnds() {
        for (Cause cause : model.causes()) {
            boolean told = checks.values().stream()
                    .flatMap(c -> c.outcomes().stream())
                    .anyMatch(o ->
                            o.given().containsKey(cause.name()) || cause.name().equals(o.proves()));
            boolean mended =
                    checks.values().stream().anyMatch(c -> c.work().repairs().contains(cause.name()));
            if (cause.call().isEmpty() && !mended) {
                problems.error(
                        cause.position(),
                        "a dead end: nothing puts the cause `" + cause.name() + "` right, and nobody is to be called",
                        "add call:, or a check with repairs: [" + cause.name() + "]");
            }
            if (!told) {
                problems.warning(
                        cause.position(),
                        "no outcome of any first check speaks of the cause `" + cause.name()
                                + "`, so it can only be handed over",
                        "name it under given: or proves: of an outcome");
            }
        }
        if (!model.order().isEmpty()) {
            FaultModel.Ordered last = model.order().get(model.order().size() - 1);
            FirstCheck check = checks.get(last.check());
            if (check != null) {
                for (FirstCheck.Outcome outcome : check.outcomes()) {
                    if (outcome.next() == null && outcome.proves() == null && outcome.handOver() == null) {
                        problems.error(
                                last.position(),
                                "a dead end: after `" + last.check() + "`, the last in the order, nothing follows when "
                                        + outcome.finding(),
                                "add next, proves or hand_over to that outcome");
                    }
                }
            }
        }
    }

    private void refuseUnreachable(Map<String, FirstCheck> own) {
        for (FirstCheck check : own.values()) {
            boolean asked =
                    model.causes().stream().anyMatch(c -> c.firstChecks().contains(check.id()))
                            || model.order().stream().anyMatch(o -> o.check().equals(check.id()))
                            || CheckLinks.isNamed(check.id(), checks.values());
            boolean chosen = model.order().isEmpty()
                    && check.tells()
                    && (!check.work().act().changes() || check.work().act().restarts());
            boolean repairs = !check.work().repairs().isEmpty();
            if (!asked && !chosen && !repairs) {
                problems.error(
                        position(check.id()),
                        "the check `" + check.id()
                                + "` can never be reached: nothing asks for it, and it tells nothing",
                        "name it in a cause's first_checks, as next, proof or in order:; or let its outcomes speak of"
                                + " causes; or delete it");
            }
        }
    }

    private Position position(String check) {
        return model.checks().positions().getOrDefault(check, model.mapPosition());
    }

    private static String didYouMean(String word, Collection<String> known) {
        return Suggestion.closest(word, known)
                .map(close -> "did you mean " + close + "?")
                .orElseGet(() -> known.isEmpty() ? "there is none" : "write one of " + String.join(", ", known));
    }
}
