package oilbird.alarm.transformer.trend;

import java.time.Duration;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Why;
import oilbird.alarm.transformer.gas.TypicalValues;

/**
 * How fast a monitor's gas rises now, in ppm a day over a window of days: a rule of its own, not the guide's
 * multi-point rate. Fast when the lower end of the 95 % interval exceeds the limit and the rise over the window
 * exceeds the monitor's noise.
 *
 * @param limitPerDay in ppm a day.
 */
public record DailyRate(RobustSlope slope, Movement.Direction direction, double limitPerDay, boolean fast) {
    /** Whether the best estimate is above the limit while its interval still reaches below. */
    public boolean maybeFast() {
        return !fast && slope.perDay() > limitPerDay;
    }

    /** The rate over the last {@code window} against an owner's limit in ppm a day. */
    public static Finding<DailyRate> of(GasSeries series, Duration window, double limitPerDay) {
        if (!(limitPerDay >= 0) || !Double.isFinite(limitPerDay)) {
            return Finding.untold(Why.OUTSIDE_VALIDITY, "limit " + Figures.of(limitPerDay, 2) + " ppm a day");
        }
        GasSeries recent = series.within(window);
        double needed = window.getSeconds() / (2 * 86_400.0);
        if (recent.spanDays() < needed) {
            return Finding.untold(
                    Why.SPAN_TOO_SHORT,
                    "samples cover " + Figures.of(recent.spanDays(), 2) + " days, half the window is needed");
        }
        Finding<Movement> movement = Movement.of(recent);
        if (movement instanceof Finding.Untold<Movement> untold) {
            return Finding.untold(untold.why(), untold.detail());
        }
        Finding.Told<Movement> told = (Finding.Told<Movement>) movement;
        RobustSlope slope = told.value().slope();
        boolean fast = told.value().direction() == Movement.Direction.RISING && slope.low() > limitPerDay;
        return Finding.told(new DailyRate(slope, told.value().direction(), limitPerDay, fast), told.remarks());
    }

    /**
     * The rate against the upper end of the 90 % typical yearly rates of IEC 60599 (confidence B), spread over
     * the days of a year: a default until the owner sets a limit.
     */
    public static Finding<DailyRate> againstTypical(GasSeries series, Duration window, TypicalValues typical) {
        TypicalValues.Range yearly = typical.yearlyRate(series.gas());
        return yearly == null
                ? Finding.untold(
                        Why.OUTSIDE_VALIDITY,
                        "no typical rate for " + series.gas().words())
                : of(series, window, yearly.high() / 365.25);
    }
}
