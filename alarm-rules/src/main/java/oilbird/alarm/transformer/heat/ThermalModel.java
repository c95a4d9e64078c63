package oilbird.alarm.transformer.heat;

import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Why;

/**
 * Top-oil and hot-spot temperature of one transformer by the difference equations of IEC 60076-7 (2005 clause
 * 8.2.3, 2018 Annex C; form confidence A). Load as a factor of rated current, temperatures in C, rises in kelvin,
 * time in minutes. Valid for mineral oil and for load up to about twice rated; taps, viscosity and solar heat
 * are not modelled.
 *
 * @param topOilRise at rated load, kelvin.
 * @param hotSpotGradient hot spot over top oil at rated load, kelvin (hot-spot factor times average gradient).
 * @param lossRatio load loss at rated current over no-load loss.
 */
public record ThermalModel(ThermalConstants constants, double topOilRise, double hotSpotGradient, double lossRatio) {
    /** Checks the figures of a transformer. */
    public static Finding<ThermalModel> of(
            ThermalConstants constants, double topOilRise, double hotSpotGradient, double lossRatio) {
        if (!(topOilRise > 0 && topOilRise <= 120)) {
            return Finding.untold(Why.OUTSIDE_VALIDITY, "top-oil rise at rated load, not within 0 to 120 K");
        }
        if (!(hotSpotGradient > 0 && hotSpotGradient <= 120)) {
            return Finding.untold(Why.OUTSIDE_VALIDITY, "hot-spot gradient at rated load, not within 0 to 120 K");
        }
        if (!(lossRatio > 0) || !Double.isFinite(lossRatio)) {
            return Finding.untold(Why.OUTSIDE_VALIDITY, "loss ratio, not above zero");
        }
        return Finding.told(new ThermalModel(constants, topOilRise, hotSpotGradient, lossRatio));
    }

    /** Top-oil rise in kelvin that a load keeps up for ever. */
    public double steadyRise(double load) {
        return topOilRise * StrictMath.pow((1 + lossRatio * load * load) / (1 + lossRatio), constants.x());
    }

    /** Hot-spot gradient in kelvin that a load keeps up for ever. */
    public double steadyGradient(double load) {
        return hotSpotGradient * StrictMath.pow(load, constants.y());
    }

    /** The state that a load and ambient temperature keep up for ever. */
    public ThermalState steady(double load, double ambient) {
        double gradient = steadyGradient(load);
        return new ThermalState(
                ambient + steadyRise(load), constants.k21() * gradient, (constants.k21() - 1) * gradient);
    }

    /**
     * The state after an interval over which load and ambient hold the given values. An interval of at most half
     * the smallest time constant is one step of the difference equations, as in the standard's example; over a
     * longer one the differential equations behind them are solved exactly, which is the standard's exponential
     * form. An interval that is not positive changes nothing.
     */
    public ThermalState after(ThermalState state, double load, double ambient, double minutes) {
        if (!(minutes > 0)) {
            return state;
        }
        double gradient = steadyGradient(load);
        return new ThermalState(
                towards(state.topOil(), ambient + steadyRise(load), minutes, constants.k11() * constants.oilMinutes()),
                towards(
                        state.fastGradient(),
                        constants.k21() * gradient,
                        minutes,
                        constants.k22() * constants.windingMinutes()),
                towards(
                        state.slowGradient(),
                        (constants.k21() - 1) * gradient,
                        minutes,
                        constants.oilMinutes() / constants.k22()));
    }

    private double towards(double from, double to, double minutes, double timeConstant) {
        double share = minutes <= constants.longestStep()
                ? minutes / timeConstant
                : 1 - StrictMath.exp(-minutes / timeConstant);
        return from + share * (to - from);
    }
}
