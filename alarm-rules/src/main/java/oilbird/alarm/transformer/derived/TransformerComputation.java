package oilbird.alarm.transformer.derived;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Why;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasReading;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.GasUnit;
import oilbird.alarm.transformer.gas.GuideTables2019;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/**
 * Everything that is computed of one transformer while it runs. Mutable; used by one thread. The same setup, memory
 * and inputs give the same results.
 */
public final class TransformerComputation {
    private static final DerivedSignals.Block GAS = DerivedSignals.Block.GAS;
    private static final Duration HEAT_STORED = Duration.ofMinutes(10);

    private final TransformerSetup setup;
    private final SampleHistory history;
    private final List<LaboratorySample> laboratory = new ArrayList<>();
    private final HeatRun heat;
    private long analyses;
    private @Nullable GasAssessment assessment;
    private Results gasResults = Results.untold(GAS, QualityReason.NO_INPUT, "no gas analysis yet");
    private @Nullable Finding<LaboratoryComparison> comparison;
    private Results heatResults = Results.untold(
            DerivedSignals.Block.HEAT, QualityReason.NO_INPUT, "load and ambient temperature not yet known");
    private @Nullable TransformerPicture picture;
    private QualityReason gasReason = QualityReason.NO_INPUT;

    // What is to be stored since the last call of takeChange.
    private final List<GasSample> added = new ArrayList<>();
    private final List<GasSample> dropped = new ArrayList<>();
    private final List<LaboratorySample> entered = new ArrayList<>();
    private final List<LaboratorySample> withdrawn = new ArrayList<>();
    private @Nullable Instant heatStoredAt;
    private boolean heatDue;

    public TransformerComputation(TransformerSetup setup, Kept kept) {
        this.setup = setup;
        this.history = new SampleHistory(
                setup.trending().window(),
                kept.samples().stream()
                        .filter(s -> s.source().id().equals(setup.gasMonitor()))
                        .toList());
        this.heat = new HeatRun(setup, kept.heat());
        laboratory.addAll(kept.laboratory());
        laboratory.sort(Comparator.comparing(l -> l.sample().at()));
    }

    public TransformerSetup setup() {
        return setup;
    }

    // ---- gas

    /**
     * Assesses the gases.
     *
     * @param inputs the gases as they are now. What is not good enters the assessment and no trend.
     * @param fresh false where the analysis is the one before, and only what may be used of it has changed.
     */
    public void assess(Map<Quantity, Input> inputs, Moment at, boolean fresh) {
        analyses += fresh ? 1 : 0;
        picture = null;
        List<GasReading> readings = new ArrayList<>();
        boolean fit = fresh && at.wallTrusted();
        for (Quantity quantity : Quantity.values()) {
            Gas gas = quantity.gas();
            Input input = inputs.get(quantity);
            if (gas == null || input == null) {
                continue;
            }
            Double value = input.value();
            if (input.reason() == QualityReason.SATURATED && value != null) {
                readings.add(new GasReading(gas, value, GasUnit.MICROLITRE_PER_LITRE, GasReading.Flag.SATURATED));
            } else {
                readings.add(new GasReading(gas, input.usable(), GasUnit.MICROLITRE_PER_LITRE, GasReading.Flag.VALUE));
            }
            fit &= input.reason() == QualityReason.NONE || input.reason() == QualityReason.SATURATED;
        }
        Finding<GasSample> sample = GasSample.of(Instant.ofEpochMilli(at.wallMillis()), setup.source(), readings);
        if (sample instanceof Finding.Told<GasSample> told) {
            if (fit) {
                keep(told.value());
            }
            GasAssessment made = GasAssessment.of(setup, told.value(), history, analyses);
            assessment = made;
            gasResults = made.results();
        } else if (sample instanceof Finding.Untold<GasSample> untold) {
            assessment = null;
            gasResults =
                    Results.untold(GAS, Results.reason(untold.why()), Results.words(untold.why(), untold.detail()));
            gasResults.number(DerivedSignals.ANALYSES, analyses, QualityReason.NONE);
        }
        compare();
    }

    private void keep(GasSample sample) {
        List<GasSample> gone = history.keep(sample);
        if (gone == null) {
            return;
        }
        added.add(sample);
        for (GasSample old : gone) {
            if (!added.remove(old)) {
                dropped.add(old);
            }
        }
    }

    /**
     * The gas results with the quality that the gases have now.
     *
     * @param assessed when they were assessed, or from when the values are that they stand on.
     */
    public Decoded gas(Map<Quantity, Input> inputs, Moment assessed, Moment at) {
        QualityReason reason = worst(inputs);
        if (reason != gasReason) {
            gasReason = reason;
            picture = null;
        }
        return gasResults.decoded(setup.device(), reason, assessed, at);
    }

    /**
     * What is wrong with the gases that are fed. A single bad one is left out of the sample, and each method says for
     * itself what it lacks; but what is told without it may raise an alarm and never clear one, since the missing gas
     * may be the one that raised it. Only when all are bad nothing can be told.
     */
    private static QualityReason worst(Map<Quantity, Input> inputs) {
        QualityReason uncertain = QualityReason.NONE;
        QualityReason bad = QualityReason.NONE;
        boolean anyUsable = false;
        for (Map.Entry<Quantity, Input> entry : inputs.entrySet()) {
            Gas gas = entry.getKey().gas();
            if (gas == null || !GuideTables2019.GASES.contains(gas)) {
                continue;
            }
            QualityReason reason = entry.getValue().reason();
            if (reason.quality() == Quality.BAD) {
                bad = bad == QualityReason.NONE ? reason : bad;
            } else {
                anyUsable = true;
                uncertain = reason.quality() == Quality.UNCERTAIN ? reason : uncertain;
            }
        }
        if (!anyUsable) {
            return bad;
        }
        return uncertain == QualityReason.NONE && bad != QualityReason.NONE ? QualityReason.INPUT_GAP : uncertain;
    }

    // ---- laboratory

    /** The sample of a laboratory at a time, or null. */
    public @Nullable LaboratorySample laboratorySample(String source, Instant at) {
        for (LaboratorySample known : laboratory) {
            if (known.sample().source().id().equals(source)
                    && known.sample().at().equals(at)) {
                return known;
            }
        }
        return null;
    }

    public void enter(LaboratorySample sample) {
        picture = null;
        laboratory.add(sample);
        laboratory.sort(Comparator.comparing(l -> l.sample().at()));
        if (!withdrawn.remove(sample)) {
            entered.add(sample);
        }
        compare();
    }

    public void withdraw(LaboratorySample sample) {
        picture = null;
        laboratory.remove(sample);
        if (!entered.remove(sample)) {
            withdrawn.add(sample);
        }
        compare();
    }

    private void compare() {
        if (laboratory.isEmpty()) {
            comparison = null;
            return;
        }
        GasSample newest = laboratory.get(laboratory.size() - 1).sample();
        comparison = LaboratoryComparison.of(setup.facts(), newest, history);
        picture = null;
    }

    /** The laboratory's last values beside the monitor's; the comparison is of the past, so present quality does not touch it. */
    public Decoded laboratory(Moment at) {
        Results results = new Results(DerivedSignals.Block.LABORATORY);
        GasSample newest = laboratory.isEmpty()
                ? null
                : laboratory.get(laboratory.size() - 1).sample();
        for (Gas gas : GuideTables2019.GASES) {
            String name = "laboratory-" + DerivedSignals.key(gas);
            Concentration known = newest == null ? null : newest.of(gas);
            if (known == null) {
                results.untold(name, QualityReason.NO_INPUT, "no laboratory value");
            } else {
                results.number(
                        name,
                        known.nominalPpm(),
                        known instanceof Concentration.Saturated ? QualityReason.SATURATED : QualityReason.NONE);
            }
        }
        Finding<LaboratoryComparison> compared = comparison;
        if (compared instanceof Finding.Told<LaboratoryComparison> told) {
            LaboratoryComparison.Difference worst = told.value().worst();
            results.number("laboratory-difference", worst.errors(), QualityReason.NONE);
            results.text("laboratory-difference-gas", worst.words(), QualityReason.NONE);
            results.state(DerivedSignals.MONITOR_DISAGREES, worst.disagrees(), QualityReason.NONE);
        } else {
            Why why =
                    compared instanceof Finding.Untold<LaboratoryComparison> untold ? untold.why() : Why.MISSING_VALUE;
            String detail = compared instanceof Finding.Untold<LaboratoryComparison> untold
                    ? untold.detail()
                    : "no laboratory sample";
            results.untold("laboratory-difference", why, detail);
            results.untold("laboratory-difference-gas", why, detail);
            results.untoldState(DerivedSignals.MONITOR_DISAGREES, Results.reason(why));
        }
        return results.decoded(setup.device(), QualityReason.NONE, at, at);
    }

    // ---- water and heat

    /**
     * The water results.
     *
     * @param from when the oldest of the values is from that stand in for one that does not count.
     */
    public Decoded water(Map<Quantity, Input> inputs, Moment from, Moment at) {
        Map<Quantity, Input> water = new EnumMap<>(Quantity.class);
        QualityReason worst = QualityReason.NONE;
        for (Quantity quantity : WATER) {
            Input input = inputs.get(quantity);
            if (input != null) {
                water.put(quantity, input);
                QualityReason reason = input.reason();
                // What is bad is left out, and the equations say for themselves what they lack.
                worst = reason.quality() == Quality.UNCERTAIN ? reason : worst;
            }
        }
        return WaterAssessment.of(setup, water).decoded(setup.device(), worst, from, at);
    }

    /** What water is computed from. */
    public static final List<Quantity> WATER = List.of(
            Quantity.WATER_CONTENT,
            Quantity.WATER_SATURATION,
            Quantity.WATER_PROBE_TEMPERATURE,
            Quantity.BOTTOM_OIL,
            Quantity.TOP_OIL,
            Quantity.AMBIENT);

    private static final List<Quantity> HEAT =
            List.of(Quantity.LOAD_CURRENT, Quantity.LOAD_FACTOR, Quantity.AMBIENT, Quantity.TOP_OIL);

    /**
     * Whether a step of the heat equations is due at a time on the heat's own axis.
     *
     * @param changed whether a reading became usable or ceased to be since the last step.
     */
    public boolean heatDue(Instant at, boolean changed) {
        return heat.due(at, changed);
    }

    /**
     * The heat results.
     *
     * @param at time on an axis that runs evenly while the process lives: wall time at its start, moved on by the
     *     monotonic clock.
     * @param step whether the equations take a step, or only the quality is laid anew over the last one.
     * @param from when the step was taken whose results are told.
     */
    public Decoded heat(Map<Quantity, Input> inputs, Instant at, boolean step, Moment from, Moment moment) {
        QualityReason uncertain = QualityReason.NONE;
        QualityReason bad = QualityReason.NONE;
        for (Quantity quantity : HEAT) {
            Input input = inputs.get(quantity);
            if (input == null) {
                continue;
            }
            if (input.reason().quality() == Quality.UNCERTAIN) {
                uncertain = input.reason();
            } else if (input.reason().quality() == Quality.BAD && quantity != Quantity.TOP_OIL) {
                bad = input.reason();
            }
        }
        if (step) {
            picture = null;
            heatResults = heat.step(inputs, at);
            Instant stored = heatStoredAt;
            if (heat.memory() != null
                    && (stored == null || Duration.between(stored, at).abs().compareTo(HEAT_STORED) >= 0)) {
                heatStoredAt = at;
                heatDue = true;
            }
        }
        return heatResults.decoded(setup.device(), bad == QualityReason.NONE ? uncertain : bad, from, moment);
    }

    // ---- memory

    /** What is to be stored since the last call, or null. */
    public Kept.@Nullable Change takeChange() {
        Kept.Change change =
                new Kept.Change(setup.asset(), added, dropped, entered, withdrawn, heatDue ? heat.memory() : null);
        if (change.isEmpty()) {
            return null;
        }
        added.clear();
        dropped.clear();
        entered.clear();
        withdrawn.clear();
        heatDue = false;
        return change;
    }

    public TransformerPicture picture() {
        TransformerPicture present = picture;
        if (present == null) {
            present = new TransformerPicture(
                    setup, assessment, gasReason, history.samples(), laboratory, comparison, heat.trail());
            picture = present;
        }
        return present;
    }
}
