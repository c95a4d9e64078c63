package oilbird.alarm.transformer.heat;

import java.time.Instant;
import org.jspecify.annotations.Nullable;

/**
 * Modelled temperatures at one time, in C, each with the bounds that gaps in the inputs leave.
 *
 * @param topOil modelled.
 * @param hotSpot on the measured top oil where there is one, else on the modelled.
 * @param onMeasured whether the hot spot stands on a measured top oil.
 * @param residual measured minus modelled top oil in kelvin, or null without a measurement.
 * @param doubtful whether gaps leave the hot spot wider than the rule allows.
 * @param lifeUsedMinutes relative ageing times minutes since the first point.
 */
public record ThermalPoint(
        Instant at,
        double topOil,
        double topOilLow,
        double topOilHigh,
        double hotSpot,
        double hotSpotLow,
        double hotSpotHigh,
        boolean onMeasured,
        @Nullable Double residual,
        boolean doubtful,
        double lifeUsedMinutes) {}
