package oilbird.alarm.transformer.heat;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Why;

/**
 * Whether the oil is hotter than load and ambient explain. The median residual over a window is compared with
 * the healthy band, widened by what gaps in the inputs leave open.
 *
 * @param residual median of measured minus modelled top oil over the window, kelvin.
 * @param low lower end of the band that counts as healthy.
 * @param high upper end.
 */
public record CoolingCheck(Verdict verdict, double residual, double low, double high, int samples) {
    /** What the residual says. */
    public enum Verdict {
        AS_MODELLED,
        /** Hotter than explained: fans, pumps, radiators or their valves, or a probe or load reading that errs. */
        COOLING_IMPAIRED,
        /** Colder than explained: a probe, the ambient or the load reading, or the model's figures. */
        COLDER_THAN_MODELLED
    }

    private static final int LEAST = 5;

    /** Checks the last {@code window} of a history against the band. */
    public static Finding<CoolingCheck> of(ThermalHistory history, ResidualBand band, Duration window) {
        return of(history.points(), band, window);
    }

    /** The same for points in order of time. */
    public static Finding<CoolingCheck> of(List<ThermalPoint> points, ResidualBand band, Duration window) {
        if (points.isEmpty()) {
            return Finding.untold(Why.TOO_FEW_SAMPLES, "no point");
        }
        Instant from = points.get(points.size() - 1).at().minus(window);
        List<Double> residuals = new ArrayList<>();
        double openLow = 0;
        double openHigh = 0;
        for (ThermalPoint point : points) {
            Double residual = point.residual();
            if (residual != null && !point.at().isBefore(from)) {
                residuals.add(residual);
                openLow = Math.max(openLow, point.topOil() - point.topOilLow());
                openHigh = Math.max(openHigh, point.topOilHigh() - point.topOil());
            }
        }
        if (residuals.size() < LEAST) {
            return Finding.untold(
                    Why.TOO_FEW_SAMPLES, residuals.size() + " measured top-oil values in the window, not " + LEAST);
        }
        if (openLow + openHigh > 2 * band.half()) {
            return Finding.untold(
                    Why.HISTORY_UNKNOWN,
                    "unknown load or ambient leaves " + Figures.of(openLow + openHigh, 1) + " K open");
        }
        double[] values = new double[residuals.size()];
        for (int i = 0; i < values.length; i++) {
            values[i] = residuals.get(i);
        }
        double median = ResidualBand.median(values);
        double low = band.centre() - band.half() - openLow;
        double high = band.centre() + band.half() + openHigh;
        Verdict verdict = Verdict.AS_MODELLED;
        if (median > high) {
            verdict = Verdict.COOLING_IMPAIRED;
        } else if (median < low) {
            verdict = Verdict.COLDER_THAN_MODELLED;
        }
        return Finding.told(new CoolingCheck(verdict, median, low, high, values.length));
    }
}
