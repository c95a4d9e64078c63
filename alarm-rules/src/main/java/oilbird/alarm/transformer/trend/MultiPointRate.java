package oilbird.alarm.transformer.trend;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.Why;
import oilbird.alarm.transformer.gas.GuideRate;

/**
 * The multi-point rate of IEEE C57.104-2019: a straight line by least squares through 3 to 6 samples over 4 to
 * 24 months (confidence B), in ppm a year. A longer series is cut to its last 24 months, and more than six
 * samples, as a monitor gives, are thinned to six medians; the rate of a monitor over days is another thing, see
 * {@link DailyRate}.
 */
public final class MultiPointRate {
    private static final double DAYS_A_MONTH = 365.25 / 12;
    private static final int MOST = 6;
    private static final int LEAST = 3;

    private MultiPointRate() {}

    /** The rate of a series, or why the guide's conditions are not met. */
    public static Finding<GuideRate> of(GasSeries series) {
        List<Remark> remarks = new ArrayList<>();
        GasSeries recent = series.within(Duration.ofSeconds((long) (24 * DAYS_A_MONTH * 86_400)));
        if (recent.points().size() < LEAST) {
            return Finding.untold(Why.TOO_FEW_SAMPLES, recent.points().size() + " samples within 24 months, not 3");
        }
        GasSeries used = recent.thinned(MOST);
        if (used != recent) {
            remarks.add(new Remark(Remark.Kind.THINNED, recent.points().size() + " to " + MOST));
        }
        double months = used.spanDays() / DAYS_A_MONTH;
        if (months < 4) {
            return Finding.untold(Why.SPAN_TOO_SHORT, Figures.of(months, 1) + " months, not 4");
        }
        double[] days = used.days();
        double[] values = used.values();
        int n = days.length;
        double meanDay = 0;
        double meanValue = 0;
        for (int i = 0; i < n; i++) {
            meanDay += days[i] / n;
            meanValue += values[i] / n;
        }
        double spread = 0;
        double joint = 0;
        for (int i = 0; i < n; i++) {
            spread += (days[i] - meanDay) * (days[i] - meanDay);
            joint += (days[i] - meanDay) * (values[i] - meanValue);
        }
        double slope = joint / spread;
        double squares = 0;
        for (int i = 0; i < n; i++) {
            double residual = values[i] - meanValue - slope * (days[i] - meanDay);
            squares += residual * residual;
        }
        double error = StrictMath.sqrt(squares / (n - 2) / spread);
        return Finding.told(new GuideRate(series.gas(), slope * 365.25, error * 365.25, n, months), remarks);
    }
}
