package oilbird.gateway.picture;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.function.ToDoubleFunction;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.alarm.transformer.derived.TransformerPicture.HeatPoint;

/** Temperatures and ageing of the last days. */
final class HeatPicture {
    private static final double WIDTH = 480;
    private static final double LEFT = 62;
    private static final double RIGHT = 352;
    private static final double TOP = 98;
    private static final double HEIGHT = 220;
    private static final double LOAD_HEIGHT = 70;
    private static final double MINUTES_A_DAY = 1_440;

    private HeatPicture() {}

    private record Frame(double low, double high, double top, double height, Instant from, Instant to) {
        double x(HeatPoint point) {
            double span = Math.max(1, Duration.between(from, to).toMillis());
            return LEFT
                    + (RIGHT - LEFT)
                            * Duration.between(from, point.point().at()).toMillis()
                            / span;
        }

        double y(double value) {
            double within = Math.max(low, Math.min(high, value));
            return top + height * (1 - (within - low) / (high - low));
        }
    }

    static String temperatures(String asset, TransformerPicture transformer) {
        List<HeatPoint> points = transformer.heat();
        String says = points.isEmpty() ? "Nothing computed yet." : says(points.get(points.size() - 1));
        Svg svg = new Svg(WIDTH, TOP + HEIGHT + LOAD_HEIGHT + 92, asset + ": temperatures and load", says);
        svg.head(asset + ": temperatures and load", says);
        if (points.isEmpty()) {
            return svg.done();
        }
        double low = Double.POSITIVE_INFINITY;
        double high = Double.NEGATIVE_INFINITY;
        for (HeatPoint point : points) {
            Double measured = point.topOil();
            low = Math.min(low, Math.min(point.ambient(), point.point().topOil()));
            high = Math.max(high, Math.max(point.point().hotSpotHigh(), measured == null ? 0 : measured));
        }
        low = 10 * Math.floor(low / 10);
        high = Math.max(low + 20, 10 * Math.ceil(high / 10));
        Frame frame = new Frame(low, high, TOP, HEIGHT, from(points), to(points));
        ground(svg, frame, "C", 20);
        band(svg, frame, points);
        List<Name> names = new ArrayList<>();
        line(svg, frame, points, "hot spot", p -> p.point().hotSpot(), names, "stroke-width", "2.6");
        line(
                svg,
                frame,
                points,
                "top oil, measured",
                p -> p.topOil() == null ? Double.NaN : p.topOil(),
                names,
                "stroke-width",
                "1.8");
        line(
                svg,
                frame,
                points,
                "top oil, modelled",
                p -> p.point().topOil(),
                names,
                "stroke-width",
                "1.8",
                "stroke-dasharray",
                "6 4");
        line(
                svg,
                frame,
                points,
                "ambient",
                HeatPoint::ambient,
                names,
                "stroke-width",
                "1.6",
                "stroke-dasharray",
                "1.5 3");
        name(svg, names);
        load(svg, points);
        return svg.done();
    }

    private static String says(HeatPoint last) {
        Double residual = last.point().residual();
        return "Hot spot " + Figures.of(last.point().hotSpot(), 0) + " C"
                + (last.point().onMeasured() ? ", on the measured top oil" : ", on the modelled top oil")
                + (residual == null
                        ? ""
                        : "; top oil " + Figures.of(Math.abs(residual), 1) + " K " + (residual >= 0 ? "over" : "under")
                                + " its model")
                + (last.point().doubtful() ? "; doubtful, values were missing." : ".");
    }

    private static void load(Svg svg, List<HeatPoint> points) {
        double top = TOP + HEIGHT + 34;
        double most = 1.2;
        for (HeatPoint point : points) {
            most = Math.max(most, point.load());
        }
        Frame frame = new Frame(0, Math.ceil(most * 5) / 5, top, LOAD_HEIGHT, from(points), to(points));
        svg.text(LEFT, top - 7, "start", "load, factor of rated", "font-size", "13", "font-weight", "600");
        svg.rectangle(LEFT, top, RIGHT - LEFT, LOAD_HEIGHT, "fill", Svg.TINTS.get(0), "stroke", Svg.FAINT);
        for (double mark : new double[] {0, 0.5, 1}) {
            svg.line(LEFT, frame.y(mark), RIGHT, frame.y(mark), "stroke", Svg.FAINT);
            svg.text(LEFT - 6, frame.y(mark) + 4, "end", Figures.of(mark, 1), "font-size", "12");
        }
        List<Name> names = new ArrayList<>();
        line(svg, frame, points, "load", HeatPoint::load, names, "stroke-width", "1.8");
        times(svg, points, top + LOAD_HEIGHT + 18);
    }

    static String ageing(String asset, TransformerPicture transformer) {
        List<HeatPoint> points = transformer.heat();
        String says = "Nothing computed yet.";
        if (!points.isEmpty()) {
            HeatPoint last = points.get(points.size() - 1);
            says = "Now " + Figures.of(last.ageing(), last.ageing() < 0.1 ? 3 : 2)
                    + " times the rated ageing rate; " + Figures.of(last.point().lifeUsedMinutes() / MINUTES_A_DAY, 2)
                    + " days of life used since the computation began.";
        }
        Svg svg = new Svg(WIDTH, TOP + HEIGHT + 44, asset + ": ageing of the insulation", says);
        svg.head(asset + ": ageing of the insulation", says);
        if (points.isEmpty()) {
            return svg.done();
        }
        double low = -2;
        double high = 0.5;
        for (HeatPoint point : points) {
            low = Math.min(low, Math.floor(log(point.ageing())));
            high = Math.max(high, Math.ceil(log(point.ageing())));
        }
        low = Math.max(low, -5);
        Frame frame = new Frame(low, high, TOP, HEIGHT, from(points), to(points));
        svg.rectangle(LEFT, TOP, RIGHT - LEFT, HEIGHT, "fill", Svg.TINTS.get(0), "stroke", Svg.FAINT);
        for (double decade = Math.ceil(low); decade <= high; decade++) {
            double y = frame.y(decade);
            svg.line(LEFT, y, RIGHT, y, "stroke", Svg.FAINT);
            svg.text(
                    LEFT - 6,
                    y + 4,
                    "end",
                    Figures.of(Math.pow(10, decade), (int) Math.max(0, -decade)),
                    "font-size",
                    "12");
        }
        svg.text(LEFT, TOP - 7, "start", "relative ageing rate", "font-size", "13", "font-weight", "600");
        svg.line(LEFT, frame.y(0), RIGHT, frame.y(0), "stroke", Svg.INK, "stroke-dasharray", "5 3");
        svg.text(RIGHT + 8, frame.y(0) + 4, "start", "rated", "font-size", "12.5");
        List<Name> names = new ArrayList<>();
        line(svg, frame, points, "now", p -> log(p.ageing()), names, "stroke-width", "2.2");
        if (!names.isEmpty() && Math.abs(names.get(0).y() - frame.y(0)) > 16) {
            name(svg, names);
        }
        times(svg, points, TOP + HEIGHT + 18);
        return svg.done();
    }

    private static double log(double ageing) {
        return Math.log10(Math.max(1e-5, ageing));
    }

    // ---- parts

    private static Instant from(List<HeatPoint> points) {
        Instant from = points.get(0).point().at();
        Duration least = Duration.ofMinutes(10);
        return Duration.between(from, to(points)).compareTo(least) < 0
                ? to(points).minus(least)
                : from;
    }

    private static Instant to(List<HeatPoint> points) {
        return points.get(points.size() - 1).point().at();
    }

    private static void ground(Svg svg, Frame frame, String unit, double step) {
        svg.rectangle(LEFT, frame.top(), RIGHT - LEFT, frame.height(), "fill", Svg.TINTS.get(0), "stroke", Svg.FAINT);
        svg.text(LEFT, frame.top() - 7, "start", "temperature, " + unit, "font-size", "13", "font-weight", "600");
        for (double mark = step * Math.ceil(frame.low() / step); mark <= frame.high(); mark += step) {
            svg.line(LEFT, frame.y(mark), RIGHT, frame.y(mark), "stroke", Svg.FAINT);
            svg.text(LEFT - 6, frame.y(mark) + 4, "end", Figures.of(mark, 0), "font-size", "12");
        }
    }

    private static void times(Svg svg, List<HeatPoint> points, double y) {
        for (Times.Mark mark : Times.marks(from(points), to(points), 3)) {
            double x = LEFT + (RIGHT - LEFT) * mark.share();
            String anchor = mark.share() == 0 ? "start" : mark.share() == 1 ? "end" : "middle";
            svg.text(x, y, anchor, mark.words(), "font-size", "12", "fill", Svg.SOFT);
        }
        svg.text(RIGHT + 8, y, "start", "UTC", "font-size", "12", "fill", Svg.SOFT);
    }

    /** What gaps in load or ambient leave open around the hot spot. */
    private static void band(Svg svg, Frame frame, List<HeatPoint> points) {
        List<double[]> corners = new ArrayList<>();
        points.forEach(
                p -> corners.add(new double[] {frame.x(p), frame.y(p.point().hotSpotHigh())}));
        List<HeatPoint> back = new ArrayList<>(points);
        Collections.reverse(back);
        back.forEach(
                p -> corners.add(new double[] {frame.x(p), frame.y(p.point().hotSpotLow())}));
        svg.polygon(corners, "fill", Svg.TINTS.get(5), "stroke", "none");
    }

    private record Name(String words, double y) {}

    /** A line with gaps where there is no value. */
    private static void line(
            Svg svg,
            Frame frame,
            List<HeatPoint> points,
            String words,
            ToDoubleFunction<HeatPoint> value,
            List<Name> names,
            String... style) {
        List<double[]> part = new ArrayList<>();
        double last = Double.NaN;
        for (HeatPoint point : points) {
            double now = value.applyAsDouble(point);
            if (Double.isNaN(now)) {
                stroke(svg, part, style);
                part = new ArrayList<>();
            } else {
                part.add(new double[] {frame.x(point), frame.y(now)});
                last = frame.y(now);
            }
        }
        stroke(svg, part, style);
        if (!Double.isNaN(last)) {
            names.add(new Name(words, last));
        }
    }

    private static void stroke(Svg svg, List<double[]> part, String... style) {
        if (part.size() > 1) {
            String[] all = new String[style.length + 2];
            all[0] = "stroke";
            all[1] = Svg.NEW;
            System.arraycopy(style, 0, all, 2, style.length);
            svg.polyline(part, all);
        } else if (part.size() == 1) {
            svg.circle(part.get(0)[0], part.get(0)[1], 2.5, "fill", Svg.NEW);
        }
    }

    /** Names at the ends of the lines, moved apart where they would cover each other. */
    private static void name(Svg svg, List<Name> names) {
        List<Name> sorted = new ArrayList<>(names);
        sorted.sort((a, b) -> Double.compare(a.y(), b.y()));
        double free = Double.NEGATIVE_INFINITY;
        for (Name name : sorted) {
            double y = Math.max(name.y() + 4, free);
            svg.text(RIGHT + 6, y, "start", name.words(), "font-size", "12");
            free = y + 15;
        }
    }
}
