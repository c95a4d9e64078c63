package oilbird.alarm.transformer.verdict;

import oilbird.alarm.transformer.Equipment;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.Fault;
import oilbird.alarm.transformer.gas.IecRatios;
import oilbird.alarm.transformer.gas.Pentagon;
import oilbird.alarm.transformer.gas.RogersRatios;
import oilbird.alarm.transformer.gas.Triangle;
import oilbird.alarm.transformer.gas.Zone;

/**
 * What the four six-class methods say about one set of gases, as numbers from 0 to 1: seven zones of triangle 1,
 * seven of pentagon 1 and one for a degenerate point, six rows of the basic ratios and one for none (rows that
 * overlap share), six rows of Rogers and one for none. Averaged over an error cloud they become the share of
 * the cloud in each zone, which is what the verdict's weights are for.
 */
final class Evidence {
    static final int SIZE = 29;

    private static final int PENTAGON = 7;
    private static final int PENTAGON_DEGENERATE = 14;
    private static final int IEC = 15;
    private static final int IEC_NONE = 21;
    private static final int ROGERS = 22;
    private static final int ROGERS_NONE = 28;

    private Evidence() {}

    /** Adds what the methods say about one draw to {@code sum}. The gases in the order of {@link ErrorCloud}. */
    static void add(double[] gases, Choices choices, double[] sum) {
        double h2 = gases[0];
        double ch4 = gases[1];
        double c2h6 = gases[2];
        double c2h4 = gases[3];
        double c2h2 = gases[4];
        Zone triangle = Triangle.ONE.zone(ch4, c2h4, c2h2, choices);
        if (triangle != Zone.NONE) {
            sum[index(triangle)]++;
        }
        Pentagon.Point point = Pentagon.centroid(h2, ch4, c2h6, c2h4, c2h2);
        if (point == null || Pentagon.degenerate(h2, ch4, c2h6, c2h4, c2h2)) {
            sum[PENTAGON_DEGENERATE]++;
        } else {
            sum[PENTAGON + index(Pentagon.ONE.zone(point, choices))]++;
        }
        // The weights were fitted with one CH4/H2 limit for all equipment, so the evidence keeps to it.
        int rows = IecRatios.rows(h2, ch4, c2h6, c2h4, c2h2, Equipment.POWER_TRANSFORMER, choices);
        int count = Integer.bitCount(rows);
        for (int fault = 0; fault < Fault.values().length; fault++) {
            if ((rows & 1 << fault) != 0) {
                sum[IEC + fault] += 1.0 / count;
            }
        }
        if (count == 0) {
            sum[IEC_NONE]++;
        }
        RogersRatios.Row row = RogersRatios.row(h2, ch4, c2h6, c2h4, c2h2);
        sum[row == null ? ROGERS_NONE : ROGERS + row.ordinal()]++;
    }

    private static int index(Zone zone) {
        return switch (zone) {
            case PD -> 0;
            case D1 -> 1;
            case D2 -> 2;
            case T1 -> 3;
            case T2 -> 4;
            case T3, T3_H -> 5;
            case DT, S -> 6;
            case O, C, ND, NONE -> throw new IllegalArgumentException("not a zone of triangle 1 or pentagon 1");
        };
    }
}
