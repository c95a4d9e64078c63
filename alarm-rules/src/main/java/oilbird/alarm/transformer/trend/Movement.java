package oilbird.alarm.transformer.trend;

import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.gas.Gas;

/**
 * Whether a series rises, falls, or only wavers as its analyser does. A movement is real when the slope's
 * interval excludes zero and the change over the span exceeds both one detection limit and the analyser's
 * repeatability (10 % above ten detection limits, confidence M), so that a small but sure drift of a monitor
 * is not called a fault.
 *
 * @param changePpm slope times span.
 * @param noisePpm what the change must exceed.
 */
public record Movement(Direction direction, double changePpm, double noisePpm, RobustSlope slope) {
    /** Which way. */
    public enum Direction {
        RISING,
        FALLING,
        WITHIN_NOISE
    }

    private static final double REPEATABILITY = 0.10;

    /** The movement of a series with a slope of 95 % confidence. */
    public static Finding<Movement> of(GasSeries series) {
        Finding<RobustSlope> slope = RobustSlope.of(series, 0.95);
        if (slope instanceof Finding.Untold<RobustSlope> untold) {
            return Finding.untold(untold.why(), untold.detail());
        }
        Finding.Told<RobustSlope> told = (Finding.Told<RobustSlope>) slope;
        double level = Median.of(series.values());
        double noise = noise(series.gas(), level);
        double change = told.value().perDay() * series.spanDays();
        Direction direction = Direction.WITHIN_NOISE;
        if (told.value().surelyRising() && change > noise) {
            direction = Direction.RISING;
        } else if (told.value().surelyFalling() && -change > noise) {
            direction = Direction.FALLING;
        }
        List<Remark> remarks = new ArrayList<>(told.remarks());
        if (level < 10 * series.gas().detectionLimitPpm()) {
            remarks.add(new Remark(Remark.Kind.NEAR_DETECTION, series.gas().words() + " at " + Figures.ppm(level)));
        }
        return Finding.told(new Movement(direction, change, noise, told.value()), remarks);
    }

    /** The change in ppm that repeat analyses of unchanged oil may show at a level of the gas. */
    public static double noise(Gas gas, double ppm) {
        return ppm >= 10 * gas.detectionLimitPpm()
                ? Math.max(REPEATABILITY * ppm, gas.detectionLimitPpm())
                : gas.detectionLimitPpm();
    }
}
