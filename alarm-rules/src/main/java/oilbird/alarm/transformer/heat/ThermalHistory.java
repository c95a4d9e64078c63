package oilbird.alarm.transformer.heat;

import java.time.Duration;
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
    /** Loads and temperatures beyond these are wrong readings and taken as missing. */
    private static final double MOST_LOAD = 3;

    private static final double VALID_LOAD = 2;
    private static final double BUBBLES = 140;
    private static final double COLDEST = -60;
    private static final double HOTTEST_AMBIENT = 70;
    private static final double HOTTEST_OIL = 180;

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
        Run run = new Run(model, ageing, gaps, sorted.get(first), start);
        for (int i = first + 1; i < sorted.size(); i++) {
            run.next(sorted.get(i));
        }
        if (run.gapMinutes > 0) {
            remarks.add(new Remark(Remark.Kind.GAP, Figures.of(run.gapMinutes, 0) + " minutes of load or ambient"));
        }
        if (run.mostLoad > VALID_LOAD) {
            remarks.add(
                    new Remark(Remark.Kind.OUT_OF_VALIDITY, "load of " + Figures.of(run.mostLoad, 2) + " times rated"));
        }
        if (run.hottest > BUBBLES) {
            remarks.add(new Remark(
                    Remark.Kind.OUT_OF_VALIDITY,
                    "hot spot of " + Figures.of(run.hottest, 0) + " C, above 140 C gas bubbles may form"));
        }
        double elapsed = run.elapsedMinutes;
        return Finding.told(
                new ThermalHistory(
                        run.points, run.life, run.lifeLow, run.lifeHigh, elapsed > 0 ? run.life / elapsed : 0),
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
            Double load = within(input.load(), 0, MOST_LOAD);
            Double ambient = within(input.ambient(), COLDEST, HOTTEST_AMBIENT);
            Double oil = within(input.measuredTopOil(), COLDEST, HOTTEST_OIL);
            wrong += load == null && input.load() != null ? 1 : 0;
            wrong += ambient == null && input.ambient() != null ? 1 : 0;
            wrong += oil == null && input.measuredTopOil() != null ? 1 : 0;
            points.add(new LoadPoint(input.at(), load, ambient, oil));
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

    private static @Nullable Double within(@Nullable Double value, double low, double high) {
        return value != null && value >= low && value <= high ? value : null;
    }

    /** The running state: nominal and bounding states, each component bounded on its own, since each is a filter of its own. */
    private static final class Run {
        private final ThermalModel model;
        private final Ageing ageing;
        private final GapRule gaps;
        private final List<ThermalPoint> points = new ArrayList<>();
        private ThermalState state;
        private ThermalState low;
        private ThermalState high;
        private Instant at;
        private double load;
        private double ambient;
        private Instant loadKnownAt;
        private Instant ambientKnownAt;
        private double life;
        private double lifeLow;
        private double lifeHigh;
        private double elapsedMinutes;
        private double gapMinutes;
        private double mostLoad;
        private double hottest = Double.NEGATIVE_INFINITY;

        Run(ThermalModel model, Ageing ageing, GapRule gaps, LoadPoint first, @Nullable ThermalState start) {
            this.model = model;
            this.ageing = ageing;
            this.gaps = gaps;
            this.at = first.at();
            this.loadKnownAt = first.at();
            this.ambientKnownAt = first.at();
            this.load = first.load() == null ? 0 : first.load();
            this.ambient = first.ambient() == null ? 0 : first.ambient();
            ThermalState steady = model.steady(load, ambient);
            this.state = start == null ? steady : start;
            this.low = start == null ? model.steady(0, ambient - gaps.ambientReach()) : start;
            this.high = start == null
                    ? model.steady(Math.max(load, gaps.mostLoad()), ambient + gaps.ambientReach())
                    : start;
            add(first);
        }

        void next(LoadPoint point) {
            double minutes = minutes(at, point.at());
            Instant loadFrom = loadKnownAt;
            Instant ambientFrom = ambientKnownAt;
            if (point.load() != null) {
                loadKnownAt = point.at();
            }
            if (point.ambient() != null) {
                ambientKnownAt = point.at();
            }
            // What is older than the hold time, before the new value's own hold time reaches back, is a gap.
            boolean loadGap = minutes(loadFrom, point.at()) > minutes(gaps.holdLoad());
            boolean ambientGap = minutes(ambientFrom, point.at()) > minutes(gaps.holdAmbient());
            double newLoad = point.load() == null ? load : point.load();
            double newAmbient = point.ambient() == null ? ambient : point.ambient();
            if (loadGap || ambientGap) {
                gapMinutes += minutes;
            }
            double lowLoad = loadGap ? 0 : newLoad;
            double highLoad = loadGap ? Math.max(gaps.mostLoad(), Math.max(load, newLoad)) : newLoad;
            double reach = ambientGap ? gaps.ambientReach() : 0;
            double lowAmbient = Math.min(newAmbient, ambientGap ? ambient : newAmbient) - reach;
            double highAmbient = Math.max(newAmbient, ambientGap ? ambient : newAmbient) + reach;
            state = model.after(state, newLoad, newAmbient, minutes);
            low = model.after(low, lowLoad, lowAmbient, minutes);
            high = model.after(high, highLoad, highAmbient, minutes);
            load = newLoad;
            ambient = newAmbient;
            at = point.at();
            elapsedMinutes += minutes;
            Double measured = point.measuredTopOil();
            life += minutes * ageing.rateAt((measured == null ? state.topOil() : measured) + state.gradient());
            lifeLow += minutes * ageing.rateAt((measured == null ? low.topOil() : measured) + lowGradient());
            lifeHigh += minutes * ageing.rateAt((measured == null ? high.topOil() : measured) + highGradient());
            add(point);
        }

        private double lowGradient() {
            return low.fastGradient() - high.slowGradient();
        }

        private double highGradient() {
            return high.fastGradient() - low.slowGradient();
        }

        private void add(LoadPoint point) {
            Double measured = point.measuredTopOil();
            double hotSpot = (measured == null ? state.topOil() : measured) + state.gradient();
            mostLoad = Math.max(mostLoad, load);
            hottest = Math.max(hottest, hotSpot);
            double hotLow = (measured == null ? low.topOil() : measured) + lowGradient();
            double hotHigh = (measured == null ? high.topOil() : measured) + highGradient();
            points.add(new ThermalPoint(
                    point.at(),
                    state.topOil(),
                    Math.min(low.topOil(), state.topOil()),
                    Math.max(high.topOil(), state.topOil()),
                    hotSpot,
                    Math.min(hotLow, hotSpot),
                    Math.max(hotHigh, hotSpot),
                    measured != null,
                    measured == null ? null : measured - state.topOil(),
                    hotHigh - hotLow > gaps.doubtfulKelvin(),
                    life));
        }

        private static double minutes(Instant from, Instant to) {
            return minutes(Duration.between(from, to));
        }

        private static double minutes(Duration duration) {
            return duration.getSeconds() / 60.0 + duration.getNano() / 60e9;
        }
    }
}
