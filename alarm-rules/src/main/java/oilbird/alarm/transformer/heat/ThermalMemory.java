package oilbird.alarm.transformer.heat;

import java.time.Duration;
import java.time.Instant;
import org.jspecify.annotations.Nullable;

/**
 * What the heat equations remember from one input to the next, so that a run can go on from it.
 *
 * @param at time of the last input.
 * @param state nominal memories.
 * @param low lower bounds, each component on its own, since each is a filter of its own.
 * @param high upper bounds.
 * @param load last known load, factor of rated.
 * @param ambient last known ambient temperature in C.
 * @param lifeUsed relative ageing summed over minutes; {@code lifeLow} and {@code lifeHigh} by the bounds.
 * @param elapsedMinutes since the first input.
 * @param gapMinutes during which load or ambient was unknown for longer than it may be held.
 */
public record ThermalMemory(
        Instant at,
        ThermalState state,
        ThermalState low,
        ThermalState high,
        double load,
        double ambient,
        Instant loadKnownAt,
        Instant ambientKnownAt,
        double lifeUsed,
        double lifeLow,
        double lifeHigh,
        double elapsedMinutes,
        double gapMinutes) {
    /**
     * Begins at a point with both load and ambient temperature.
     *
     * @param start the state when it is known; without it the steady state of the first values, with bounds from no
     *     load to {@code mostLoad} that fade with the oil's time constant.
     */
    public static ThermalMemory begin(ThermalModel model, GapRule gaps, LoadPoint first, @Nullable ThermalState start) {
        double load = first.load() == null ? 0 : first.load();
        double ambient = first.ambient() == null ? 0 : first.ambient();
        return new ThermalMemory(
                first.at(),
                start == null ? model.steady(load, ambient) : start,
                start == null ? model.steady(0, ambient - gaps.ambientReach()) : start,
                start == null ? model.steady(Math.max(load, gaps.mostLoad()), ambient + gaps.ambientReach()) : start,
                load,
                ambient,
                first.at(),
                first.at(),
                0,
                0,
                0,
                0,
                0);
    }

    /** The same temperatures with the life that an earlier memory had counted; null for none. */
    public ThermalMemory withLifeOf(@Nullable ThermalMemory earlier) {
        return earlier == null
                ? this
                : new ThermalMemory(
                        at,
                        state,
                        low,
                        high,
                        load,
                        ambient,
                        loadKnownAt,
                        ambientKnownAt,
                        earlier.lifeUsed,
                        earlier.lifeLow,
                        earlier.lifeHigh,
                        earlier.elapsedMinutes,
                        earlier.gapMinutes);
    }

    /** After a later point, whose values hold over the interval that ends at it. */
    public ThermalMemory after(ThermalModel model, Ageing ageing, GapRule gaps, LoadPoint point) {
        double minutes = minutes(at, point.at());
        // What is older than the hold time, before the new value's own hold time reaches back, is a gap.
        boolean loadGap = minutes(loadKnownAt, point.at()) > minutes(gaps.holdLoad());
        boolean ambientGap = minutes(ambientKnownAt, point.at()) > minutes(gaps.holdAmbient());
        double newLoad = point.load() == null ? load : point.load();
        double newAmbient = point.ambient() == null ? ambient : point.ambient();
        double lowLoad = loadGap ? 0 : newLoad;
        double highLoad = loadGap ? Math.max(gaps.mostLoad(), Math.max(load, newLoad)) : newLoad;
        double reach = ambientGap ? gaps.ambientReach() : 0;
        double lowAmbient = Math.min(newAmbient, ambientGap ? ambient : newAmbient) - reach;
        double highAmbient = Math.max(newAmbient, ambientGap ? ambient : newAmbient) + reach;
        ThermalState nextState = model.after(state, newLoad, newAmbient, minutes);
        ThermalState nextLow = model.after(low, lowLoad, lowAmbient, minutes);
        ThermalState nextHigh = model.after(high, highLoad, highAmbient, minutes);
        Double measured = point.measuredTopOil();
        double lowGradient = nextLow.fastGradient() - nextHigh.slowGradient();
        double highGradient = nextHigh.fastGradient() - nextLow.slowGradient();
        return new ThermalMemory(
                point.at(),
                nextState,
                nextLow,
                nextHigh,
                newLoad,
                newAmbient,
                point.load() == null ? loadKnownAt : point.at(),
                point.ambient() == null ? ambientKnownAt : point.at(),
                lifeUsed
                        + minutes
                                * ageing.rateAt(
                                        (measured == null ? nextState.topOil() : measured) + nextState.gradient()),
                lifeLow + minutes * ageing.rateAt((measured == null ? nextLow.topOil() : measured) + lowGradient),
                lifeHigh + minutes * ageing.rateAt((measured == null ? nextHigh.topOil() : measured) + highGradient),
                elapsedMinutes + minutes,
                gapMinutes + (loadGap || ambientGap ? minutes : 0));
    }

    /** The temperatures now, on the measured top oil where there is one. */
    public ThermalPoint point(GapRule gaps, @Nullable Double measured) {
        double lowGradient = low.fastGradient() - high.slowGradient();
        double highGradient = high.fastGradient() - low.slowGradient();
        double hotSpot = (measured == null ? state.topOil() : measured) + state.gradient();
        double hotLow = (measured == null ? low.topOil() : measured) + lowGradient;
        double hotHigh = (measured == null ? high.topOil() : measured) + highGradient;
        return new ThermalPoint(
                at,
                state.topOil(),
                Math.min(low.topOil(), state.topOil()),
                Math.max(high.topOil(), state.topOil()),
                hotSpot,
                Math.min(hotLow, hotSpot),
                Math.max(hotHigh, hotSpot),
                measured != null,
                measured == null ? null : measured - state.topOil(),
                hotHigh - hotLow > gaps.doubtfulKelvin(),
                lifeUsed);
    }

    private static double minutes(Instant from, Instant to) {
        return minutes(Duration.between(from, to));
    }

    private static double minutes(Duration duration) {
        return duration.getSeconds() / 60.0 + duration.getNano() / 60e9;
    }
}
