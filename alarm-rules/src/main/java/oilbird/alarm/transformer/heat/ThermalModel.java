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
    /** Substep for intervals longer than the difference equations allow, in minutes. */
    private static final double SUBSTEP = 1;

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
     * the smallest time constant is one step, as in the standard's example; a longer one is divided into equal
     * steps of at most one minute.
     */
    public ThermalState after(ThermalState state, double load, double ambient, double minutes) {
        if (!(minutes > 0)) {
            return state;
        }
        int steps = minutes <= constants.longestStep() ? 1 : (int) Math.min(1e7, StrictMath.ceil(minutes / SUBSTEP));
        double step = minutes / steps;
        double rise = steadyRise(load);
        double gradient = steadyGradient(load);
        double oil = step / (constants.k11() * constants.oilMinutes());
        double fast = step / (constants.k22() * constants.windingMinutes());
        double slow = step * constants.k22() / constants.oilMinutes();
        double topOil = state.topOil();
        double one = state.fastGradient();
        double two = state.slowGradient();
        for (int i = 0; i < steps; i++) {
            topOil += oil * (rise - (topOil - ambient));
            one += fast * (constants.k21() * gradient - one);
            two += slow * ((constants.k21() - 1) * gradient - two);
        }
        return new ThermalState(topOil, one, two);
    }
}
