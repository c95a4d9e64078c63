package oilbird.alarm.transformer.gas;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Function;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.TapChanger;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.Why;
import org.jspecify.annotations.Nullable;

/**
 * Every single method on one sample, in the order of {@link Method}: each answer with the row or zone, what it
 * hangs on, or the named reason why the method may not be used. Gases in ppm by volume, mineral oil only.
 */
public final class GasMethods {
    private static final List<Gas> FIVE = List.of(Gas.H2, Gas.CH4, Gas.C2H6, Gas.C2H4, Gas.C2H2);
    private static final List<Gas> SIMPLE = List.of(Gas.H2, Gas.CH4, Gas.C2H4, Gas.C2H2);

    private GasMethods() {}

    /** What one method gives for one reading of the disputed cells; compared to see whether the answer hangs on one. */
    private record Row(String label, List<Fault> faults) {}

    /** All methods. Ratios and figures are given whatever the level; whether the level deserves them is said elsewhere. */
    public static List<MethodAnswer> all(TransformerFacts facts, GasSample sample, Choices choices) {
        List<MethodAnswer> answers = new ArrayList<>(Method.values().length);
        for (Method method : Method.values()) {
            answers.add(answer(method, facts, sample, choices));
        }
        return answers;
    }

    /** One method. */
    public static MethodAnswer answer(Method method, TransformerFacts facts, GasSample sample, Choices choices) {
        Finding.Untold<Row> refused = facts.refusedUnlessMineralOil();
        if (refused != null) {
            return new MethodAnswer.Untold(method, refused.why(), refused.detail());
        }
        Finding.Untold<Row> obstacle = sample.obstacle(gases(method));
        if (obstacle != null) {
            return new MethodAnswer.Untold(method, obstacle.why(), obstacle.detail());
        }
        if (method == Method.TRIANGLE_4 || method == Method.TRIANGLE_5) {
            Finding.Untold<Row> firstStep = sample.obstacle(TRIANGLE_1_GASES);
            if (firstStep != null) {
                return new MethodAnswer.Untold(method, firstStep.why(), "triangle 1, which comes first");
            }
        }
        double h2 = zeroIfUnknown(sample, Gas.H2);
        double ch4 = sample.nominal(Gas.CH4);
        double c2h6 = zeroIfUnknown(sample, Gas.C2H6);
        double c2h4 = zeroIfUnknown(sample, Gas.C2H4);
        double c2h2 = zeroIfUnknown(sample, Gas.C2H2);
        return switch (method) {
            case IEC_RATIOS ->
                told(
                        method,
                        facts,
                        sample,
                        choices,
                        List.of(DisputedCell.IEC_RATIO_BOUNDS),
                        c -> ratioRow(IecRatios.rows(h2, ch4, c2h6, c2h4, c2h2, facts.equipment(), c)));
            case IEC_SIMPLE ->
                told(
                        method,
                        facts,
                        sample,
                        choices,
                        List.of(),
                        c -> familyRow(IecRatios.families(h2, ch4, c2h4, c2h2)));
            case ROGERS ->
                told(method, facts, sample, choices, List.of(), c -> {
                    RogersRatios.Row row = RogersRatios.row(h2, ch4, c2h6, c2h4, c2h2);
                    return row == null ? null : new Row(row.words(), row.faults());
                });
            case DOERNENBURG ->
                DoernenburgRatios.applies(h2, ch4, c2h6, c2h4, c2h2, choices)
                        ? told(
                                method,
                                facts,
                                sample,
                                choices,
                                List.of(
                                        DisputedCell.DOERNENBURG_ACETYLENE_LIMIT,
                                        DisputedCell.DOERNENBURG_APPLICABILITY),
                                c -> doernenburg(h2, ch4, c2h6, c2h4, c2h2, c))
                        : new MethodAnswer.Untold(
                                method, Why.BELOW_APPLICABILITY, "the gases do not reach the limits L1");
            case TRIANGLE_1 ->
                told(method, facts, sample, choices, List.of(), c -> zoneRow(Triangle.ONE.zone(ch4, c2h4, c2h2, c)));
            case TRIANGLE_4 -> {
                Zone first = Triangle.ONE.zone(ch4, c2h4, c2h2, choices);
                yield first == Zone.PD || first == Zone.T1 || first == Zone.T2
                        ? told(
                                method,
                                facts,
                                sample,
                                choices,
                                List.of(DisputedCell.TRIANGLE_4_C),
                                c -> zoneRow(Triangle.FOUR.zone(h2, ch4, c2h6, c)))
                        : notItsTurn(method, first);
            }
            case TRIANGLE_5 -> {
                Zone first = Triangle.ONE.zone(ch4, c2h4, c2h2, choices);
                yield first == Zone.T2 || first == Zone.T3
                        ? told(
                                method,
                                facts,
                                sample,
                                choices,
                                List.of(DisputedCell.TRIANGLE_5_O, DisputedCell.TRIANGLE_5_ETHANE),
                                c -> zoneRow(Triangle.FIVE.zone(ch4, c2h4, c2h6, c)))
                        : notItsTurn(method, first);
            }
            case PENTAGON_1 -> pentagon(Pentagon.ONE, method, facts, sample, choices, h2, ch4, c2h6, c2h4, c2h2);
            case PENTAGON_2 -> pentagon(Pentagon.TWO, method, facts, sample, choices, h2, ch4, c2h6, c2h4, c2h2);
        };
    }

    /** The gases that a method needs. Triangles 4 and 5 also need those of triangle 1, which comes first. */
    public static List<Gas> gases(Method method) {
        return switch (method) {
            case TRIANGLE_1 -> TRIANGLE_1_GASES;
            case TRIANGLE_5 -> TRIANGLE_5_GASES;
            case IEC_SIMPLE -> SIMPLE;
            case IEC_RATIOS, ROGERS, DOERNENBURG, TRIANGLE_4, PENTAGON_1, PENTAGON_2 -> FIVE;
        };
    }

    private static final List<Gas> TRIANGLE_1_GASES = List.of(Gas.CH4, Gas.C2H4, Gas.C2H2);
    private static final List<Gas> TRIANGLE_5_GASES = List.of(Gas.CH4, Gas.C2H4, Gas.C2H2, Gas.C2H6);

    private static double zeroIfUnknown(GasSample sample, Gas gas) {
        Concentration known = sample.of(gas);
        return known == null ? 0 : known.nominalPpm();
    }

    private static MethodAnswer notItsTurn(Method method, Zone first) {
        return new MethodAnswer.Untold(method, Why.NOT_ITS_TURN, "triangle 1 gives " + first);
    }

    private static MethodAnswer pentagon(
            Pentagon pentagon,
            Method method,
            TransformerFacts facts,
            GasSample sample,
            Choices choices,
            double h2,
            double ch4,
            double c2h6,
            double c2h4,
            double c2h2) {
        Pentagon.Point point = Pentagon.centroid(h2, ch4, c2h6, c2h4, c2h2);
        if (point == null || Pentagon.degenerate(h2, ch4, c2h6, c2h4, c2h2)) {
            return new MethodAnswer.Untold(method, Why.DEGENERATE, "five gases");
        }
        MethodAnswer answer = told(
                method,
                facts,
                sample,
                choices,
                List.of(DisputedCell.PENTAGON_D1_CORNER, DisputedCell.PENTAGON_T1_CORNER),
                c -> zoneRow(pentagon.zone(point, c)));
        if (answer instanceof MethodAnswer.Told told && !pentagon.insideAZone(point, choices)) {
            List<Remark> remarks = new ArrayList<>(told.remarks());
            remarks.add(
                    new Remark(Remark.Kind.OUTSIDE_ZONES, Figures.of(point.x(), 1) + ", " + Figures.of(point.y(), 1)));
            return new MethodAnswer.Told(method, told.label(), told.faults(), remarks);
        }
        return answer;
    }

    private static MethodAnswer told(
            Method method,
            TransformerFacts facts,
            GasSample sample,
            Choices choices,
            List<DisputedCell> cells,
            Function<Choices, @Nullable Row> rule) {
        Row row = rule.apply(choices);
        List<Remark> remarks = new ArrayList<>(4);
        for (DisputedCell cell : cells) {
            Row other = rule.apply(choices.flipped(cell));
            if (row == null ? other != null : !row.equals(other)) {
                remarks.add(new Remark(
                        Remark.Kind.HANGS_ON_DISPUTED,
                        cell.key() + ": " + cell.standing() + "; otherwise "
                                + (other == null ? "no row fits" : other.label())));
            }
        }
        levelRemarks(method, facts, sample, remarks);
        if (row == null) {
            return new MethodAnswer.NoRow(method, "no row of the table fits", remarks);
        }
        if (method == Method.IEC_RATIOS && row.faults().size() > 1) {
            remarks.add(new Remark(Remark.Kind.OVERLAP, row.label()));
        }
        return new MethodAnswer.Told(method, row.label(), row.faults(), remarks);
    }

    private static void levelRemarks(Method method, TransformerFacts facts, GasSample sample, List<Remark> remarks) {
        int above = 0;
        Gas last = Gas.H2;
        for (Gas gas : gases(method)) {
            Concentration known = sample.of(gas);
            if (known instanceof Concentration.BelowDetection) {
                remarks.add(new Remark(Remark.Kind.BELOW_DETECTION, gas.words()));
            } else if (known != null) {
                above++;
                last = gas;
                if (known.nominalPpm() < 10 * gas.detectionLimitPpm()) {
                    remarks.add(new Remark(Remark.Kind.NEAR_DETECTION, gas.words()));
                }
            }
        }
        if (above == 1) {
            remarks.add(new Remark(Remark.Kind.SINGLE_GAS, last.words()));
        }
        Concentration acetylene = sample.of(Gas.C2H2);
        if (facts.tapChanger() == TapChanger.COMMUNICATING && acetylene != null && acetylene.nominalPpm() > 0) {
            remarks.add(new Remark(Remark.Kind.TAP_CHANGER_GAS, Gas.C2H2.words()));
        }
        if (method == Method.ROGERS || method == Method.IEC_SIMPLE) {
            remarks.add(new Remark(Remark.Kind.FROM_MEMORY, method.words()));
        }
    }

    private static @Nullable Row ratioRow(int rows) {
        if (rows == 0) {
            return null;
        }
        return Integer.bitCount(rows) == 1
                ? SINGLE_ROWS[Integer.numberOfTrailingZeros(rows)]
                : joined(IecRatios.faults(rows));
    }

    private static final Row[] SINGLE_ROWS = singleRows();

    private static Row[] singleRows() {
        Row[] rows = new Row[Fault.values().length];
        for (Fault fault : Fault.values()) {
            rows[fault.ordinal()] = new Row(fault.name(), List.of(fault));
        }
        return rows;
    }

    private static Row joined(List<Fault> faults) {
        StringBuilder label = new StringBuilder();
        for (Fault fault : faults) {
            label.append(label.isEmpty() ? "" : "/").append(fault.name());
        }
        return new Row(label.toString(), faults);
    }

    private static @Nullable Row familyRow(List<Fault.Family> families) {
        if (families.isEmpty()) {
            return null;
        }
        List<Fault> faults = new ArrayList<>();
        StringBuilder label = new StringBuilder();
        for (Fault.Family family : families) {
            label.append(label.isEmpty() ? "" : "/")
                    .append(
                            switch (family) {
                                case PARTIAL_DISCHARGE -> "PD";
                                case DISCHARGE -> "D";
                                case THERMAL -> "T";
                            });
            for (Fault fault : Fault.values()) {
                if (fault.family() == family) {
                    faults.add(fault);
                }
            }
        }
        return new Row(label.toString(), List.copyOf(faults));
    }

    private static @Nullable Row doernenburg(
            double h2, double ch4, double c2h6, double c2h4, double c2h2, Choices choices) {
        if (!DoernenburgRatios.applies(h2, ch4, c2h6, c2h4, c2h2, choices)) {
            return null;
        }
        DoernenburgRatios.Row row = DoernenburgRatios.row(h2, ch4, c2h6, c2h4, c2h2, choices);
        return row == null ? null : new Row(row.words(), row.faults());
    }

    private static Row zoneRow(Zone zone) {
        return ZONE_ROWS[zone.ordinal()];
    }

    private static final Row[] ZONE_ROWS = zoneRows();

    private static Row[] zoneRows() {
        Row[] rows = new Row[Zone.values().length];
        for (Zone zone : Zone.values()) {
            rows[zone.ordinal()] = new Row(zone == Zone.T3_H ? "T3-H" : zone.name(), zone.faults());
        }
        return rows;
    }
}
