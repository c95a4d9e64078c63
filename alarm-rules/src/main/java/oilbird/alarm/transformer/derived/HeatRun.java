package oilbird.alarm.transformer.derived;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.heat.CoolingCheck;
import oilbird.alarm.transformer.heat.GapRule;
import oilbird.alarm.transformer.heat.LoadPoint;
import oilbird.alarm.transformer.heat.ThermalMemory;
import oilbird.alarm.transformer.heat.ThermalPoint;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/** The heat equations of one transformer as they run: one step a minute at most, from whatever is known then. */
final class HeatRun {
    static final Duration STEP = Duration.ofMinutes(1);

    private static final DerivedSignals.Block HEAT = DerivedSignals.Block.HEAT;
    private static final double MINUTES_A_DAY = 1_440;
    private static final Duration TRAIL_SPACING = Duration.ofMinutes(10);
    private static final int TRAIL = 432;
    private static final Duration LONGEST_ABSENCE = Duration.ofDays(7);

    private final TransformerSetup setup;
    private @Nullable ThermalMemory memory;
    private @Nullable Instant triedAt;
    /** For a load or an ambient temperature that can be used. */
    private boolean waiting;

    private final ArrayDeque<ThermalPoint> recent = new ArrayDeque<>();
    private final ArrayDeque<TransformerPicture.HeatPoint> trail = new ArrayDeque<>();

    HeatRun(TransformerSetup setup, @Nullable ThermalMemory stored) {
        this.setup = setup;
        this.memory = stored;
    }

    @Nullable
    ThermalMemory memory() {
        return memory;
    }

    List<TransformerPicture.HeatPoint> trail() {
        return new ArrayList<>(trail);
    }

    /**
     * @param changed whether a reading became usable or ceased to be since the last step.
     */
    boolean due(Instant at, boolean changed) {
        Instant last = triedAt;
        if (changed && waiting) {
            return true;
        }
        return last == null || at.isBefore(last) || Duration.between(last, at).compareTo(STEP) >= 0;
    }

    /** Takes the inputs as they are at a time and gives what follows. */
    Results step(Map<Quantity, Input> inputs, Instant at) {
        triedAt = at;
        waiting = true;
        TransformerSetup.Heat heat = setup.heat();
        if (heat == null) {
            return Results.untold(HEAT, QualityReason.NO_INPUT, "rated data or cooling of the asset are not stated");
        }
        Finding.Untold<Results> refused = setup.facts().refusedUnlessMineralOil();
        if (refused != null) {
            return Results.untold(HEAT, Results.reason(refused.why()), Results.words(refused.why(), refused.detail()));
        }
        Input load = load(heat, inputs);
        Input ambient = inputs.getOrDefault(Quantity.AMBIENT, Input.NONE);
        if (load.usable() == null || ambient.usable() == null) {
            Input missing = load.usable() == null ? load : ambient;
            return Results.untold(
                    HEAT, missing.reason(), (load.usable() == null ? "load" : "ambient temperature") + " is not known");
        }
        Input topOil = inputs.getOrDefault(Quantity.TOP_OIL, Input.NONE);
        LoadPoint now = new LoadPoint(at, load.usable(), ambient.usable(), topOil.usable()).plausible();
        if (now.load() == null || now.ambient() == null) {
            return Results.untold(
                    HEAT, QualityReason.OUTSIDE_RANGE, "a load or ambient temperature that no transformer has");
        }
        ThermalMemory known = memory;
        if (known == null || lostTrack(known.at(), at)) {
            known = ThermalMemory.begin(heat.model(), GapRule.USUAL, now, null).withLifeOf(known);
            recent.clear();
            trail.clear();
        } else {
            known = known.after(heat.model(), heat.ageing(), GapRule.USUAL, now);
        }
        memory = known;
        waiting = false;
        Double measured = now.measuredTopOil();
        ThermalPoint point = known.point(GapRule.USUAL, measured);
        Finding<Double> ageing = heat.ageing().rate(point.hotSpot());
        remember(known, point, measured, ageing);
        Results results = new Results(HEAT);
        QualityReason open = point.doubtful() ? QualityReason.INPUT_GAP : QualityReason.NONE;
        results.number("load", known.load(), QualityReason.NONE);
        results.number("modelled-top-oil", point.topOil(), open);
        // Without its top-oil reading the hot spot stands on the model, which cannot see impaired cooling.
        boolean lost = measured == null && setup.feeds().containsKey(Quantity.TOP_OIL);
        QualityReason hot = lost ? QualityReason.INPUT_GAP : open;
        results.number("hot-spot", point.hotSpot(), hot);
        results.number("hot-spot-low", point.hotSpotLow(), hot);
        results.number("hot-spot-high", point.hotSpotHigh(), hot);
        if (ageing instanceof Finding.Told<Double> told) {
            results.number("ageing-rate", told.value(), hot);
        } else if (ageing instanceof Finding.Untold<Double> untold) {
            results.untold("ageing-rate", untold.why(), untold.detail());
        }
        results.number("life-used", known.lifeUsed() / MINUTES_A_DAY, hot);
        residual(heat, point, topOil, results);
        return results;
    }

    /** Time that ran backwards, or an absence in which the load says nothing any more: the temperatures begin anew. */
    private static boolean lostTrack(Instant from, Instant to) {
        return to.isBefore(from) || Duration.between(from, to).compareTo(LONGEST_ABSENCE) > 0;
    }

    private void residual(TransformerSetup.Heat heat, ThermalPoint point, Input topOil, Results results) {
        Double residual = point.residual();
        Finding<CoolingCheck> check = CoolingCheck.of(List.copyOf(recent), heat.band(), TransformerSetup.Heat.WINDOW);
        if (residual == null) {
            QualityReason reason = topOil.usable() == null ? topOil.reason() : QualityReason.OUTSIDE_RANGE;
            results.untold("top-oil-residual", reason, "top oil is not measured");
            results.untold("top-oil-residual-median", reason, "top oil is not measured");
            results.untoldState("cooling-impaired", reason);
            results.untoldState("oil-colder-than-modelled", reason);
            return;
        }
        results.number("top-oil-residual", residual, point.doubtful() ? QualityReason.INPUT_GAP : QualityReason.NONE);
        if (check instanceof Finding.Told<CoolingCheck> told) {
            CoolingCheck.Verdict verdict = told.value().verdict();
            results.number("top-oil-residual-median", told.value().residual(), QualityReason.NONE);
            results.state("cooling-impaired", verdict == CoolingCheck.Verdict.COOLING_IMPAIRED, QualityReason.NONE);
            results.state(
                    "oil-colder-than-modelled",
                    verdict == CoolingCheck.Verdict.COLDER_THAN_MODELLED,
                    QualityReason.NONE);
        } else if (check instanceof Finding.Untold<CoolingCheck> untold) {
            results.untold("top-oil-residual-median", untold.why(), untold.detail());
            results.untoldState("cooling-impaired", Results.reason(untold.why()));
            results.untoldState("oil-colder-than-modelled", Results.reason(untold.why()));
        }
    }

    private void remember(ThermalMemory known, ThermalPoint point, @Nullable Double measured, Finding<Double> ageing) {
        recent.addLast(point);
        Instant from = point.at().minus(TransformerSetup.Heat.WINDOW);
        while (!recent.isEmpty() && recent.getFirst().at().isBefore(from)) {
            recent.removeFirst();
        }
        TransformerPicture.HeatPoint last = trail.peekLast();
        if (last == null || Duration.between(last.point().at(), point.at()).compareTo(TRAIL_SPACING) >= 0) {
            trail.addLast(new TransformerPicture.HeatPoint(
                    point,
                    known.load(),
                    known.ambient(),
                    measured,
                    ageing instanceof Finding.Told<Double> told ? told.value() : 0));
            if (trail.size() > TRAIL) {
                trail.removeFirst();
            }
        }
    }

    private static Input load(TransformerSetup.Heat heat, Map<Quantity, Input> inputs) {
        Double rated = heat.ratedCurrent();
        Input current = inputs.get(Quantity.LOAD_CURRENT);
        if (current != null && rated != null) {
            Double ampere = current.value();
            return new Input(ampere == null ? null : ampere / rated, current.reason());
        }
        return inputs.getOrDefault(Quantity.LOAD_FACTOR, Input.NONE);
    }
}
