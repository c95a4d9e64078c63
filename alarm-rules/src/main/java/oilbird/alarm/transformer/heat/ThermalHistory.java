package oilbird.alarm.transformer.heat;

import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.Why;
import org.jspecify.annotations.Nullable;

/**
 * Top oil, hot spot and life used over a series of load and ambient values with gaps and irregular steps.
 *
 * @param points one for each usable input, in order of time.
 * @param lifeUsedMinutes relative ageing summed over time; equal to elapsed minutes at the rated hot spot.
 * @param lifeUsedLow by the lower bounds of the hot spot.
 * @param lifeUsedHigh by the upper bounds.
 * @param meanAgeing life used over elapsed time (FEQA of IEEE C57.91); 0 for a single point.
 */
public record ThermalHistory(
        List<ThermalPoint> points, double lifeUsedMinutes, double lifeUsedLow, double lifeUsedHigh, double meanAgeing) {
    private static final double VALID_LOAD = 2;
    private static final double BUBBLES = 140;

    public ThermalHistory {
        points = List.copyOf(points);
    }

    /**
     * Runs the equations.
     *
     * @param start the state at the first point when it is known; without it the run starts at the steady state
     *     of the first values, with bounds from no load to {@code mostLoad} that fade with the oil's time
     *     constant.
     */
    public static Finding<ThermalHistory> of(
            TransformerFacts facts,
            ThermalModel model,
            Ageing ageing,
            List<LoadPoint> inputs,
            @Nullable ThermalState start,
            GapRule gaps) {
        Finding.Untold<ThermalHistory> refused = facts.refusedUnlessMineralOil();
        if (refused != null) {
            return refused;
        }
        List<Remark> remarks = new ArrayList<>();
        List<LoadPoint> sorted = cleaned(inputs, remarks);
        int first = 0;
        while (first < sorted.size()
                && (sorted.get(first).load() == null || sorted.get(first).ambient() == null)) {
            first++;
        }
        if (first == sorted.size()) {
            return Finding.untold(Why.MISSING_VALUE, "no point with both load and ambient temperature");
        }
        LoadPoint begin = sorted.get(first);
        ThermalMemory memory = ThermalMemory.begin(model, gaps, begin, start);
        List<ThermalPoint> points = new ArrayList<>();
        points.add(memory.point(gaps, begin.measuredTopOil()));
        double mostLoad = memory.load();
        double hottest = points.get(0).hotSpot();
        for (int i = first + 1; i < sorted.size(); i++) {
            LoadPoint next = sorted.get(i);
            memory = memory.after(model, ageing, gaps, next);
            ThermalPoint point = memory.point(gaps, next.measuredTopOil());
            points.add(point);
            mostLoad = Math.max(mostLoad, memory.load());
            hottest = Math.max(hottest, point.hotSpot());
        }
        if (memory.gapMinutes() > 0) {
            remarks.add(
                    new Remark(Remark.Kind.GAP, Figures.of(memory.gapMinutes(), 0) + " minutes of load or ambient"));
        }
        if (mostLoad > VALID_LOAD) {
            remarks.add(new Remark(Remark.Kind.OUT_OF_VALIDITY, "load of " + Figures.of(mostLoad, 2) + " times rated"));
        }
        if (hottest > BUBBLES) {
            remarks.add(new Remark(
                    Remark.Kind.OUT_OF_VALIDITY,
                    "hot spot of " + Figures.of(hottest, 0) + " C, above 140 C gas bubbles may form"));
        }
        double elapsed = memory.elapsedMinutes();
        return Finding.told(
                new ThermalHistory(
                        points,
                        memory.lifeUsed(),
                        memory.lifeLow(),
                        memory.lifeHigh(),
                        elapsed > 0 ? memory.lifeUsed() / elapsed : 0),
                remarks);
    }

    private static List<LoadPoint> cleaned(List<LoadPoint> inputs, List<Remark> remarks) {
        List<LoadPoint> points = new ArrayList<>();
        int wrong = 0;
        boolean unsorted = false;
        Instant previous = Instant.MIN;
        for (LoadPoint input : inputs) {
            unsorted |= input.at().isBefore(previous);
            previous = input.at();
            LoadPoint plausible = input.plausible();
            wrong += plausible.load() == null && input.load() != null ? 1 : 0;
            wrong += plausible.ambient() == null && input.ambient() != null ? 1 : 0;
            wrong += plausible.measuredTopOil() == null && input.measuredTopOil() != null ? 1 : 0;
            points.add(plausible);
        }
        if (wrong > 0) {
            remarks.add(new Remark(Remark.Kind.VALUE_LEFT_OUT, wrong + " values out of range"));
        }
        if (unsorted) {
            remarks.add(new Remark(Remark.Kind.PUT_IN_ORDER, "load points"));
            points.sort(Comparator.comparing(LoadPoint::at));
        }
        List<LoadPoint> kept = new ArrayList<>();
        Set<Instant> contradicted = new LinkedHashSet<>();
        for (LoadPoint point : points) {
            LoadPoint last = kept.isEmpty() ? null : kept.get(kept.size() - 1);
            if (last == null || !last.at().equals(point.at())) {
                kept.add(point);
            } else if (!last.equals(point)) {
                contradicted.add(point.at());
                kept.set(kept.size() - 1, new LoadPoint(point.at(), null, null, null));
            }
        }
        if (!contradicted.isEmpty()) {
            remarks.add(new Remark(
                    Remark.Kind.VALUE_LEFT_OUT,
                    contradicted.size() + " times with two values each, " + Why.CONTRADICTING_VALUES.sentence()));
        }
        return kept;
    }
}
