package oilbird.alarm.transformer.trend;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.TrendRestart;
import oilbird.alarm.transformer.Why;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasSample;

/**
 * One gas of one analyser over time since the last restart: strictly rising times, ppm by volume.
 *
 * @param points at least one.
 */
public record GasSeries(Gas gas, String source, List<Point> points) {
    /** One value; below detection counts as zero. */
    public record Point(Instant at, double ppm) {}

    private static final double SECONDS_A_DAY = 86_400;

    public GasSeries {
        points = List.copyOf(points);
        for (int i = 1; i < points.size(); i++) {
            if (!points.get(i).at().isAfter(points.get(i - 1).at())) {
                throw new IllegalArgumentException("times of a series must rise; use GasSeries.of for raw samples");
            }
        }
        if (points.isEmpty()) {
            throw new IllegalArgumentException("a series has at least one point");
        }
    }

    /**
     * Builds the series. Stated treatment: other analysers' samples are not mixed in, samples before the last
     * restart are cut off, unsorted samples are sorted, a sample given twice counts once, two different values
     * for one time both go, saturated and unknown values go.
     */
    public static Finding<GasSeries> of(TransformerFacts facts, List<GasSample> samples, String source, Gas gas) {
        List<Remark> remarks = new ArrayList<>();
        List<Point> points = new ArrayList<>();
        Instant previous = Instant.MIN;
        boolean unsorted = false;
        int saturated = 0;
        for (GasSample sample : samples) {
            if (!sample.source().id().equals(source)) {
                continue;
            }
            unsorted |= sample.at().isBefore(previous);
            previous = sample.at();
            Concentration known = sample.of(gas);
            if (known instanceof Concentration.Saturated) {
                saturated++;
            } else if (known != null) {
                points.add(new Point(sample.at(), known.nominalPpm()));
            }
        }
        if (unsorted) {
            remarks.add(new Remark(Remark.Kind.PUT_IN_ORDER, source));
            points.sort(Comparator.comparing(Point::at));
        }
        if (saturated > 0) {
            remarks.add(new Remark(Remark.Kind.VALUE_LEFT_OUT, saturated + " saturated values"));
        }
        points = distinct(points, remarks);
        if (!points.isEmpty()) {
            points = sinceRestart(facts, source, points, remarks);
        }
        return points.isEmpty()
                ? Finding.untold(Why.TOO_FEW_SAMPLES, "no value of " + gas.words() + " from " + source)
                : Finding.told(new GasSeries(gas, source, points), remarks);
    }

    private static List<Point> distinct(List<Point> sorted, List<Remark> remarks) {
        List<Point> kept = new ArrayList<>();
        Set<Instant> contradicted = new LinkedHashSet<>();
        int twice = 0;
        for (Point point : sorted) {
            Point last = kept.isEmpty() ? null : kept.get(kept.size() - 1);
            if (contradicted.contains(point.at())) {
                continue;
            }
            if (last == null || !last.at().equals(point.at())) {
                kept.add(point);
            } else if (last.ppm() == point.ppm()) {
                twice++;
            } else {
                kept.remove(kept.size() - 1);
                contradicted.add(point.at());
            }
        }
        if (twice > 0) {
            remarks.add(new Remark(Remark.Kind.DUPLICATE_DROPPED, twice + " samples"));
        }
        if (!contradicted.isEmpty()) {
            remarks.add(new Remark(
                    Remark.Kind.VALUE_LEFT_OUT,
                    contradicted.size() + " times with two values each, " + Why.CONTRADICTING_VALUES.sentence()));
        }
        return kept;
    }

    private static List<Point> sinceRestart(
            TransformerFacts facts, String source, List<Point> points, List<Remark> remarks) {
        TrendRestart restart =
                facts.lastRestart(source, points.get(points.size() - 1).at()).orElse(null);
        if (restart == null) {
            return points;
        }
        List<Point> kept = new ArrayList<>();
        for (Point point : points) {
            if (!point.at().isBefore(restart.at())) {
                kept.add(point);
            }
        }
        if (kept.size() < points.size()) {
            remarks.add(new Remark(Remark.Kind.RESTARTED, restart.cause() + " at " + restart.at()));
        }
        return kept;
    }

    public Point first() {
        return points.get(0);
    }

    public Point last() {
        return points.get(points.size() - 1);
    }

    /** Days from the first to the last point. */
    public double spanDays() {
        return day(points.size() - 1);
    }

    /** Days from the first point to point {@code i}. */
    double day(int i) {
        Duration since = Duration.between(first().at(), points.get(i).at());
        return since.getSeconds() / SECONDS_A_DAY + since.getNano() / (SECONDS_A_DAY * 1e9);
    }

    /** The points within the last {@code window}; at least the last one. */
    public GasSeries within(Duration window) {
        Instant from = last().at().minus(window.isNegative() ? Duration.ZERO : window);
        List<Point> kept = new ArrayList<>();
        for (Point point : points) {
            if (!point.at().isBefore(from)) {
                kept.add(point);
            }
        }
        return new GasSeries(gas, source, kept);
    }

    double[] days() {
        double[] days = new double[points.size()];
        for (int i = 0; i < days.length; i++) {
            days[i] = day(i);
        }
        return days;
    }

    double[] values() {
        double[] values = new double[points.size()];
        for (int i = 0; i < values.length; i++) {
            values[i] = points.get(i).ppm();
        }
        return values;
    }

    /**
     * The same series with at most {@code most} points: runs of neighbours of equal number are replaced by the
     * median of their values at the median of their times.
     */
    GasSeries thinned(int most) {
        if (points.size() <= most) {
            return this;
        }
        List<Point> kept = new ArrayList<>();
        int n = points.size();
        for (int group = 0; group < most; group++) {
            int from = (int) ((long) group * n / most);
            int to = (int) ((long) (group + 1) * n / most);
            double[] values = new double[to - from];
            for (int i = from; i < to; i++) {
                values[i - from] = points.get(i).ppm();
            }
            kept.add(new Point(points.get((from + to - 1) / 2).at(), Median.of(values)));
        }
        return new GasSeries(gas, source, kept);
    }
}
