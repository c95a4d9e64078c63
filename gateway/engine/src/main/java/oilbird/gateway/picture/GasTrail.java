package oilbird.gateway.picture;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Function;
import oilbird.alarm.transformer.derived.GasAssessment;
import oilbird.alarm.transformer.derived.LaboratorySample;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.MeasurementError;
import oilbird.alarm.transformer.gas.Zone;
import oilbird.alarm.transformer.verdict.ErrorCloud;
import org.jspecify.annotations.Nullable;

/** The way of the last samples through a figure, with the error cloud of the newest. */
final class GasTrail {
    /** Older samples of the trail say little more. */
    private static final int LONGEST = 24;

    private static final int LABORATORY = 5;
    private static final List<Gas> FIVE = List.of(Gas.H2, Gas.CH4, Gas.C2H6, Gas.C2H4, Gas.C2H2);

    /** Places in the picture, the oldest first; the newest sample last. */
    final List<double[]> trail = new ArrayList<>();

    final List<double[]> laboratory = new ArrayList<>();
    final List<double[]> cloud = new ArrayList<>();
    final @Nullable GasSample newest;
    private final @Nullable GasAssessment assessment;

    /**
     * @param place of the gases H2, CH4, C2H6, C2H4, C2H2 in ppm; null where the figure has none for them.
     */
    GasTrail(TransformerPicture transformer, Function<double[], double @Nullable []> place) {
        List<GasSample> samples = new ArrayList<>(transformer.samples());
        assessment = transformer.gas();
        if (assessment != null
                && (samples.isEmpty()
                        || !samples.get(samples.size() - 1)
                                .at()
                                .equals(assessment.sample().at()))) {
            samples.add(assessment.sample());
        }
        // The last point is the newest; those before it are spread over what is kept.
        int shown = Math.min(LONGEST, samples.size());
        for (int i = 1; i <= shown; i++) {
            add(trail, place.apply(gases(samples.get((int) ((long) i * samples.size() / shown) - 1))));
        }
        newest = samples.isEmpty() ? null : samples.get(samples.size() - 1);
        List<LaboratorySample> entered = transformer.laboratory();
        for (LaboratorySample sample : entered.subList(Math.max(0, entered.size() - LABORATORY), entered.size())) {
            add(laboratory, place.apply(gases(sample.sample())));
        }
        if (newest != null && newest.hasMeasured(FIVE)) {
            for (double[] draw : ErrorCloud.around(newest, MeasurementError.USUAL)) {
                add(cloud, place.apply(draw));
            }
        }
    }

    private static void add(List<double[]> places, double @Nullable [] place) {
        if (place != null) {
            places.add(place);
        }
    }

    private static double[] gases(GasSample sample) {
        double[] ppm = new double[FIVE.size()];
        for (int i = 0; i < ppm.length; i++) {
            Concentration known = sample.of(FIVE.get(i));
            ppm[i] = known == null ? Double.NaN : known.nominalPpm();
        }
        return ppm;
    }

    /** Why the figure is not to be read for the newest sample though it has a place in it; empty where it may be. */
    String nothingToRead() {
        GasAssessment assessed = assessment;
        GasSample sample = newest;
        return sample != null
                        && assessed != null
                        && assessed.tellsOfNoFault()
                        && assessed.sample().at().equals(sample.at())
                ? "Newest sample, " + Times.minute(sample.at())
                        + ": no gas is above its typical value, so the figure tells of no fault."
                : "";
    }

    /** The last sample's place, or null. */
    double @Nullable [] last() {
        return trail.isEmpty() ? null : trail.get(trail.size() - 1);
    }

    /** Draws cloud, trail and newest sample, in this order. */
    void draw(Svg svg) {
        for (double[] point : cloud) {
            svg.circle(point[0], point[1], 2.2, "fill", "none", "stroke", Svg.SOFT, "stroke-width", "0.9");
        }
        if (trail.size() > 1) {
            svg.polyline(trail, "stroke", Svg.NEW, "stroke-width", "1.6", "stroke-linejoin", "round");
        }
        for (int i = 0; i < trail.size() - 1; i++) {
            double[] point = trail.get(i);
            svg.circle(point[0], point[1], 1.6 + 1.6 * i / trail.size(), "fill", Svg.NEW);
        }
        for (double[] point : laboratory) {
            svg.diamond(point[0], point[1], 6, "fill", Svg.GROUND, "stroke", Svg.INK, "stroke-width", "1.8");
        }
        double[] now = last();
        if (now != null) {
            svg.circle(now[0], now[1], 6.5, "fill", Svg.NEW, "stroke", Svg.GROUND, "stroke-width", "2");
        }
    }

    /** The key to the marks, at the foot of a picture. */
    static void key(Svg svg, double x, double y) {
        svg.circle(x + 7, y - 5, 6, "fill", Svg.NEW).text(x + 19, y, "start", "newest", "font-size", "12.5");
        svg.line(x + 78, y - 5, x + 100, y - 5, "stroke", Svg.NEW, "stroke-width", "1.6")
                .circle(x + 89, y - 5, 2.6, "fill", Svg.NEW)
                .text(x + 106, y, "start", "before", "font-size", "12.5");
        for (int i = 0; i < 3; i++) {
            svg.circle(x + 166 + 6 * i, y - 5 - 2 * (i % 2), 2.2, "fill", "none", "stroke", Svg.SOFT);
        }
        svg.text(x + 184, y, "start", "within measurement error", "font-size", "12.5");
        svg.diamond(x + 370, y - 5, 5.5, "fill", Svg.GROUND, "stroke", Svg.INK, "stroke-width", "1.8")
                .text(x + 381, y, "start", "laboratory", "font-size", "12.5");
    }

    static String zoneWords(Zone zone) {
        return (zone == Zone.T3_H ? "T3-H" : zone.name()) + ", " + zone.words();
    }
}
