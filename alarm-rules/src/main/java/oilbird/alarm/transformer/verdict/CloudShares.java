package oilbird.alarm.transformer.verdict;

import java.util.Collections;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import oilbird.alarm.transformer.Equipment;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.Fault;
import oilbird.alarm.transformer.gas.IecRatios;
import oilbird.alarm.transformer.gas.Method;
import oilbird.alarm.transformer.gas.Pentagon;
import oilbird.alarm.transformer.gas.RogersRatios;
import oilbird.alarm.transformer.gas.Triangle;
import oilbird.alarm.transformer.gas.Zone;

/** How an error cloud falls over zones and rows. */
final class CloudShares {
    private CloudShares() {}

    /** Shares of the figure that comes last in the order of use. */
    static CombinedVerdict.Shares shares(double[][] draws, Choices choices) {
        int s = 0;
        int o = 0;
        int c = 0;
        for (double[] draw : draws) {
            Zone zone = lastFigure(draw, choices);
            s += zone == Zone.S ? 1 : 0;
            o += zone == Zone.O ? 1 : 0;
            c += zone == Zone.C ? 1 : 0;
        }
        double n = draws.length;
        return new CombinedVerdict.Shares(s / n, o / n, c / n);
    }

    private static Zone lastFigure(double[] draw, Choices choices) {
        Zone first = Triangle.ONE.zone(draw[1], draw[3], draw[4], choices);
        if (first == Zone.T2 || first == Zone.T3) {
            return Triangle.FIVE.zone(draw[1], draw[3], draw[2], choices);
        }
        if (first == Zone.PD || first == Zone.T1) {
            return Triangle.FOUR.zone(draw[0], draw[1], draw[2], choices);
        }
        Pentagon.Point point = Pentagon.centroid(draw[0], draw[1], draw[2], draw[3], draw[4]);
        return point == null ? Zone.NONE : Pentagon.TWO.zone(point, choices);
    }

    /** Share of the cloud by zone or row, for the methods of six classes. */
    static Map<Method, Map<String, Double>> labels(double[][] draws, Choices choices, Equipment equipment) {
        Map<Method, Map<String, Double>> labels = new EnumMap<>(Method.class);
        for (double[] d : draws) {
            Zone zone = Triangle.ONE.zone(d[1], d[3], d[4], choices);
            add(labels, Method.TRIANGLE_1, zone.name(), draws.length);
            Pentagon.Point point = Pentagon.centroid(d[0], d[1], d[2], d[3], d[4]);
            boolean told = point != null && !Pentagon.degenerate(d[0], d[1], d[2], d[3], d[4]);
            add(
                    labels,
                    Method.PENTAGON_1,
                    told && point != null ? Pentagon.ONE.zone(point, choices).name() : "-",
                    draws.length);
            List<Fault> rows = IecRatios.faults(IecRatios.rows(d[0], d[1], d[2], d[3], d[4], equipment, choices));
            StringBuilder label = new StringBuilder();
            for (Fault fault : rows) {
                label.append(label.isEmpty() ? "" : "/").append(fault.name());
            }
            add(labels, Method.IEC_RATIOS, label.isEmpty() ? "none" : label.toString(), draws.length);
            RogersRatios.Row row = RogersRatios.row(d[0], d[1], d[2], d[3], d[4]);
            add(labels, Method.ROGERS, row == null ? "none" : row.words(), draws.length);
        }
        labels.replaceAll((method, shares) -> Collections.unmodifiableMap(shares));
        return Collections.unmodifiableMap(labels);
    }

    private static void add(Map<Method, Map<String, Double>> labels, Method method, String label, int draws) {
        labels.computeIfAbsent(method, m -> new TreeMap<>()).merge(label, 1.0 / draws, Double::sum);
    }
}
