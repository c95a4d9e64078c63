package oilbird.gateway.engine.simulation;

import java.time.Duration;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.transformer.derived.DerivedSignals;
import oilbird.alarm.transformer.derived.Quantity;
import oilbird.alarm.transformer.derived.TransformerSetup;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** What a process was told by its devices, kept as simply as can be, to judge whether an alarm may be cleared by it. */
final class Evidence {
    private final Map<String, Block> blocks = new HashMap<>();
    private final Map<SignalId, Reading> readings = new HashMap<>();
    private final Map<SignalId, Indication> indications = new HashMap<>();
    private final Map<String, Moment> answered = new HashMap<>();
    private final Map<SignalId, Moment> counted = new HashMap<>();

    private final Set<String> inMaintenance = new TreeSet<>();

    private record Block(Moment answeredAt, boolean failed) {}

    /**
     * @param of id of a device or asset.
     */
    void maintenance(String of, boolean begun) {
        if (begun) {
            inMaintenance.add(of);
        } else {
            inMaintenance.remove(of);
        }
    }

    /** What covers a device, of what persons work on. */
    Set<String> maintenanceOf(String device) {
        Set<String> covering = new TreeSet<>(inMaintenance);
        String asset =
                Windlow.STATION.model().facts().device(device).orElseThrow().asset();
        covering.removeIf(of -> !of.equals(device) && !of.equals(asset));
        return covering;
    }

    Evidence copy() {
        Evidence copy = new Evidence();
        copy.blocks.putAll(blocks);
        copy.readings.putAll(readings);
        copy.indications.putAll(indications);
        copy.answered.putAll(answered);
        copy.counted.putAll(counted);
        copy.inMaintenance.addAll(inMaintenance);
        return copy;
    }

    void take(StationInput input) {
        if (input instanceof StationInput.Observed observed) {
            var decoded = observed.decoded();
            String key = decoded.device() + '/' + decoded.block();
            Block before = blocks.get(key);
            if (before != null
                    && before.answeredAt.monotonicNanos() > decoded.at().monotonicNanos()) {
                return; // older than what is known
            }
            blocks.put(key, new Block(decoded.at(), false));
            answered.put(decoded.device(), decoded.at());
            for (Reading reading : decoded.readings()) {
                Reading old = readings.put(reading.id(), reading);
                if (reading.number() != null
                        && (old == null || !reading.number().equals(old.number()))) {
                    counted.put(reading.id(), decoded.at());
                }
            }
            decoded.indications().forEach(indication -> indications.put(indication.id(), indication));
        } else if (input instanceof StationInput.RequestFailed failed) {
            String key = failed.device() + '/' + failed.block();
            Block before = blocks.get(key);
            if (before != null
                    && before.answeredAt.monotonicNanos() <= failed.at().monotonicNanos()) {
                blocks.put(key, new Block(before.answeredAt, true));
            }
        }
    }

    /**
     * Why this may not clear the alarm, or null if it may.
     *
     * @param eased a limit was left, not the first.
     */
    @Nullable
    String against(RuleInstance rule, boolean eased, Moment at) {
        StationFacts.Device device = rule.device();
        if (device == null || device.kind().map().equals("gateway")) {
            return null;
        }
        if (device.kind().map().equals(DerivedSignals.MAP)) {
            return againstComputed(rule, device, at);
        }
        if (rule.condition() instanceof Condition.CommunicationLost) {
            return answered.containsKey(device.id()) ? null : "the device has not answered since the start";
        }
        boolean ofAge = rule.condition() instanceof Condition.Overdue;
        for (SignalId input : rule.inputs()) {
            String why = unusable(device, input, ofAge, at);
            if (why != null) {
                return why;
            }
        }
        if (rule.condition() instanceof Condition.IndicationIs is) {
            IndicationState wanted = is.holds() ? IndicationState.DOES_NOT_HOLD : IndicationState.HOLDS;
            Indication told = indications.get(rule.inputs().get(0));
            return told != null && told.state() == wanted ? null : "the newest answer says " + told;
        }
        if (rule.condition() instanceof Condition.Level level) {
            double value = 0;
            for (int i = 0; i < rule.inputs().size(); i++) {
                Reading reading = readings.get(rule.inputs().get(i));
                if (reading == null || reading.reason() != QualityReason.NONE || reading.number() == null) {
                    return "the newest value is " + reading;
                }
                value = i == 0 ? reading.number() : value - reading.number();
            }
            List<Condition.Limit> limits = level.limits();
            double left = limits.get(eased ? limits.size() - 1 : 0).value();
            boolean beyond = level.direction() == Condition.Direction.HIGH
                    ? value >= left - level.deadband()
                    : value <= left + level.deadband();
            return beyond ? "the newest value is " + value + ", not beyond deadband of " + left : null;
        }
        return null;
    }

    /** What is computed clears nothing while something that it is computed of may clear nothing. */
    private @Nullable String againstComputed(RuleInstance rule, StationFacts.Device derived, Moment at) {
        String name = rule.inputs().get(0).name();
        boolean ofGas = DerivedSignals.signals(DerivedSignals.Block.GAS).contains(name);
        TransformerSetup setup = Windlow.STATION.model().transformers().stream()
                .filter(t -> t.device().equals(derived.id()))
                .findFirst()
                .orElseThrow();
        for (Map.Entry<Quantity, TransformerSetup.Feed> feed : setup.feeds().entrySet()) {
            SignalId input = feed.getValue().point();
            if (feed.getKey().gas() != null == ofGas) {
                StationFacts.Device monitor =
                        Windlow.STATION.model().facts().device(input.owner()).orElseThrow();
                String why = unusable(monitor, input, false, at);
                if (why != null) {
                    return "of what it is computed of: " + why;
                }
            }
        }
        return null;
    }

    private @Nullable String unusable(StationFacts.Device device, SignalId input, boolean ofAge, Moment at) {
        if (!maintenanceOf(device.id()).isEmpty()) {
            return device.id() + " is in maintenance";
        }
        DeviceKind.Block carrier = device.kind().blocks().stream()
                .filter(block -> block.signals().contains(input.name()))
                .findFirst()
                .orElseThrow();
        Block block = blocks.get(device.id() + '/' + carrier.name());
        if (block == null) {
            return carrier.name() + " was not read since the start";
        }
        if (block.failed) {
            return "the newest request of " + carrier.name() + " failed";
        }
        Duration allowed = longer(carrier.period().multipliedBy(2), Duration.ofSeconds(5));
        if (at.monotonicNanos() - block.answeredAt.monotonicNanos() > allowed.toNanos()) {
            return carrier.name() + " is older than " + allowed;
        }
        DeviceKind.Point point = device.kind().point(input.name()).orElse(null);
        if (point == null) {
            return null;
        }
        if (point.analysisCounter() != null) {
            Moment counter = counted.get(new SignalId(device.id(), point.analysisCounter()));
            Duration longest =
                    longer(point.staleAfter(), longer(point.updatePeriod().multipliedBy(2), allowed));
            if (counter == null || at.monotonicNanos() - counter.monotonicNanos() > longest.toNanos()) {
                return "the analysis is older than " + longest;
            }
        }
        if (ofAge) {
            return null; // how old a value is does not depend on whether it is right
        }
        for (DeviceKind.NamedIndication indication : device.kind().indications()) {
            Indication told = indications.get(new SignalId(device.id(), indication.name()));
            if (told != null
                    && told.state() == IndicationState.HOLDS
                    && indication.doubts().stream()
                            .anyMatch(doubt -> doubt.point().equals(point.name()))) {
                return "it is doubtful because of " + indication.name();
            }
        }
        Reading reading = readings.get(input);
        return reading != null && reading.quality() != Quality.GOOD ? "the newest value is " + reading : null;
    }

    private static Duration longer(Duration a, Duration b) {
        return a.compareTo(b) >= 0 ? a : b;
    }
}
