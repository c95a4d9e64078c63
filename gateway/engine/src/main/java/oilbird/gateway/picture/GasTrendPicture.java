package oilbird.gateway.picture;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Fluid;
import oilbird.alarm.transformer.derived.GasAssessment;
import oilbird.alarm.transformer.derived.LaboratorySample;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.GuideStatus2019;
import oilbird.alarm.transformer.gas.GuideTables2019;
import org.jspecify.annotations.Nullable;

/**
 * One panel a gas, each on a logarithmic axis of its own: the monitor's samples as a line, laboratory samples as
 * diamonds, and the limits of tables 1 and 2 of IEEE C57.104-2019 for this transformer.
 */
final class GasTrendPicture {
    private static final double WIDTH = 480;
    private static final double LEFT = 62;
    private static final double RIGHT = 424;
    private static final double PANEL = 96;
    /** Height of a limit's figure. */
    private static final double LABEL = 14;

    private static final double GAP = 30;
    private static final double TOP = 124;

    private GasTrendPicture() {}

    static String draw(String asset, TransformerPicture transformer) {
        List<GasSample> samples = transformer.samples();
        List<GasSample> laboratory =
                transformer.laboratory().stream().map(LaboratorySample::sample).toList();
        List<Gas> gases = GuideTables2019.GASES.stream()
                .filter(g -> samples.stream().anyMatch(s -> s.of(g) != null)
                        || laboratory.stream().anyMatch(s -> s.of(g) != null))
                .toList();
        String says = says(transformer);
        Svg svg = new Svg(WIDTH, TOP + gases.size() * (PANEL + GAP) + 34, asset + ": gases over time", says);
        svg.head(asset + ": gases over time", says);
        key(svg);
        Instant to = newest(samples, laboratory);
        if (to == null) {
            return svg.done();
        }
        Instant from = oldest(samples, to);
        double y = TOP;
        for (Gas gas : gases) {
            panel(svg, gas, y, samples, laboratory, from, to, transformer);
            y += PANEL + GAP;
        }
        for (Times.Mark mark : Times.marks(from, to, 4)) {
            double x = LEFT + (RIGHT - LEFT) * mark.share();
            String anchor = mark.share() == 0 ? "start" : mark.share() == 1 ? "end" : "middle";
            svg.text(x, y, anchor, mark.words(), "font-size", "12", "fill", Svg.SOFT);
        }
        svg.text(RIGHT + 6, y, "start", "UTC", "font-size", "12", "fill", Svg.SOFT);
        return svg.done();
    }

    private static void key(Svg svg) {
        double y = 84;
        svg.line(16, y - 4, 40, y - 4, "stroke", Svg.NEW, "stroke-width", "1.8");
        svg.text(46, y, "start", "monitor", "font-size", "12.5");
        svg.diamond(110, y - 4, 5.5, "fill", Svg.GROUND, "stroke", Svg.INK, "stroke-width", "1.8");
        svg.text(121, y, "start", "laboratory", "font-size", "12.5");
        svg.line(200, y - 4, 224, y - 4, "stroke", Svg.INK, "stroke-dasharray", "5 3");
        svg.text(230, y, "start", "limit of table 1 (90 %)", "font-size", "12.5");
        svg.line(200, y + 12, 224, y + 12, "stroke", Svg.INK, "stroke-dasharray", "1.5 3", "stroke-width", "1.8");
        svg.text(230, y + 16, "start", "limit of table 2 (95 %)", "font-size", "12.5");
    }

    private static String says(TransformerPicture transformer) {
        GasAssessment gas = transformer.gas();
        if (gas == null) {
            return "No gas analysis since the start; what is kept from before is drawn.";
        }
        if (gas.status() instanceof Finding.Told<GuideStatus2019> told) {
            return "Gas status " + told.value().status() + " of IEEE C57.104-2019 by the sample of "
                    + Times.minute(gas.sample().at()) + ".";
        }
        Finding.Untold<GuideStatus2019> untold = (Finding.Untold<GuideStatus2019>) gas.status();
        return "Gas status cannot be told: " + untold.why().sentence() + ".";
    }

    private static @Nullable Instant newest(List<GasSample> samples, List<GasSample> laboratory) {
        Instant newest = null;
        for (List<GasSample> list : List.of(samples, laboratory)) {
            for (GasSample sample : list) {
                newest = newest == null || sample.at().isAfter(newest) ? sample.at() : newest;
            }
        }
        return newest;
    }

    private static Instant oldest(List<GasSample> samples, Instant to) {
        Instant oldest = samples.isEmpty() ? to : samples.get(0).at();
        Duration least = Duration.ofMinutes(10);
        return Duration.between(oldest, to).compareTo(least) < 0 ? to.minus(least) : oldest;
    }

    private static void panel(
            Svg svg,
            Gas gas,
            double top,
            List<GasSample> samples,
            List<GasSample> laboratory,
            Instant from,
            Instant to,
            TransformerPicture transformer) {
        double[] limits = limits(gas, transformer);
        double low = gas.detectionLimitPpm() / 2;
        double high = limits.length > 0 ? limits[1] * 2 : low * 100;
        for (List<GasSample> list : List.of(samples, laboratory)) {
            for (GasSample sample : list) {
                high = Math.max(high, ppm(sample, gas) * 1.5);
            }
        }
        Scale scale = new Scale(low, high, top, from, to);
        svg.rectangle(LEFT, top, RIGHT - LEFT, PANEL, "fill", Svg.TINTS.get(0), "stroke", Svg.FAINT);
        for (double decade = Math.pow(10, Math.ceil(Math.log10(low))); decade <= high; decade *= 10) {
            double y = scale.y(decade);
            svg.line(LEFT, y, RIGHT, y, "stroke", Svg.FAINT, "stroke-width", "1");
            svg.text(LEFT - 6, y + 4, "end", Figures.of(decade, decade < 1 ? 1 : 0), "font-size", "12");
        }
        svg.text(LEFT, top - 7, "start", gas.words() + ", ppm", "font-size", "13", "font-weight", "600");
        if (limits.length > 0) {
            // Below its line the lower limit's figure would lie where a healthy gas runs.
            boolean apart = scale.y(limits[0]) - scale.y(limits[1]) >= LABEL;
            limit(svg, scale, limits[0], apart ? -4 : 12, "5 3", "1");
            limit(svg, scale, limits[1], -4, "1.5 3", "1.8");
        }
        List<double[]> line = new ArrayList<>();
        for (GasSample sample : samples) {
            if (sample.of(gas) != null) {
                line.add(new double[] {scale.x(sample.at()), scale.y(ppm(sample, gas))});
            }
        }
        if (line.size() > 1) {
            svg.polyline(line, "stroke", Svg.NEW, "stroke-width", "1.8", "stroke-linejoin", "round");
        }
        for (GasSample sample : laboratory) {
            if (sample.of(gas) != null && !sample.at().isBefore(from)) {
                svg.diamond(
                        scale.x(sample.at()),
                        scale.y(ppm(sample, gas)),
                        5,
                        "fill",
                        Svg.GROUND,
                        "stroke",
                        Svg.INK,
                        "stroke-width",
                        "1.8");
            }
        }
        if (!line.isEmpty()) {
            double[] last = line.get(line.size() - 1);
            svg.circle(last[0], last[1], 4, "fill", Svg.NEW);
            GasSample newest = samples.get(samples.size() - 1);
            Concentration known = newest.of(gas);
            String value = known instanceof Concentration.BelowDetection below
                    ? "<" + Figures.of(below.limitPpm(), 0)
                    : Figures.of(ppm(newest, gas), ppm(newest, gas) < 10 ? 1 : 0);
            svg.text(RIGHT + 6, last[1] + 5, "start", value, "font-weight", "600");
        }
    }

    private static void limit(Svg svg, Scale scale, double ppm, double labelDown, String dashes, String width) {
        double y = scale.y(ppm);
        svg.line(LEFT, y, RIGHT, y, "stroke", Svg.INK, "stroke-dasharray", dashes, "stroke-width", width);
        svg.label(LEFT + 4, y + labelDown, "start", Figures.of(ppm, 0), "font-size", "11");
    }

    /** Limits of tables 1 and 2 as the newest assessment took them; none where they do not apply. */
    private static double[] limits(Gas gas, TransformerPicture transformer) {
        if (transformer.setup().facts().fluid() != Fluid.MINERAL_OIL) {
            return new double[0];
        }
        GuideTables2019.OxygenSide side = GuideTables2019.OxygenSide.ABOVE;
        GuideTables2019.Age age = GuideTables2019.Age.UNKNOWN;
        GasAssessment assessment = transformer.gas();
        if (assessment != null && assessment.status() instanceof Finding.Told<GuideStatus2019> told) {
            side = told.value().side();
            age = told.value().age();
        }
        return new double[] {
            GuideTables2019.level90(side, age, gas),
            GuideTables2019.level95(side, age, gas, transformer.setup().choices())
        };
    }

    private static double ppm(GasSample sample, Gas gas) {
        Concentration known = sample.of(gas);
        return known == null ? 0 : known.nominalPpm();
    }

    private record Scale(double low, double high, double top, Instant from, Instant to) {
        double x(Instant at) {
            double span = Math.max(1, Duration.between(from, to).toMillis());
            return LEFT + (RIGHT - LEFT) * Duration.between(from, at).toMillis() / span;
        }

        /** What is below detection stands on the floor. */
        double y(double ppm) {
            double within = Math.max(low, Math.min(high, ppm));
            return top + PANEL * (1 - Math.log(within / low) / Math.log(high / low));
        }
    }
}
