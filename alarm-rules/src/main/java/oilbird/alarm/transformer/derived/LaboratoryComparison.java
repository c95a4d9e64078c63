package oilbird.alarm.transformer.derived;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.Why;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.GuideTables2019;
import oilbird.alarm.transformer.gas.MeasurementError;

/**
 * A laboratory sample beside the monitor's nearest one. Two readings, each within its band, can differ by the sum of
 * both bands with no change in the oil (arithmetic; the bands are figures from memory of IEC 60567 and CIGRE TB
 * 409): only beyond that the monitor is said to disagree. It speaks of the monitor, never of the transformer.
 *
 * @param differences by gas, in the order of the guide's tables; gases that both have.
 */
public record LaboratoryComparison(GasSample laboratory, GasSample monitor, List<Difference> differences) {
    /** How far apart in time the two may be. */
    public static final Duration REACH = Duration.ofHours(24);

    /**
     * One gas.
     *
     * @param bandPpm half widths of both error bands together.
     */
    public record Difference(Gas gas, double laboratoryPpm, double monitorPpm, double bandPpm) {
        /** The difference in combined errors; above 1 they cannot both be right. */
        public double errors() {
            return Math.abs(monitorPpm - laboratoryPpm) / bandPpm;
        }

        public boolean disagrees() {
            return errors() > 1;
        }

        /** As {@code hydrogen: laboratory 120 ppm, monitor 60 ppm, 32 ppm explained by errors}. */
        public String words() {
            return gas.words() + ": laboratory " + Figures.ppm(laboratoryPpm) + ", monitor " + Figures.ppm(monitorPpm)
                    + ", " + Figures.ppm(bandPpm) + " explained by errors";
        }
    }

    public LaboratoryComparison {
        differences = List.copyOf(differences);
    }

    /** The gas that differs most, in combined errors. */
    public Difference worst() {
        Difference worst = differences.get(0);
        for (Difference one : differences) {
            if (one.errors() > worst.errors()) {
                worst = one;
            }
        }
        return worst;
    }

    /** Compares, or says why the two cannot be compared. */
    static Finding<LaboratoryComparison> of(TransformerFacts facts, GasSample laboratory, SampleHistory history) {
        GasSample monitor = history.nearest(laboratory.at(), REACH);
        if (monitor == null) {
            return Finding.untold(
                    Why.TOO_FEW_SAMPLES, "no good sample of the monitor within 24 h of " + laboratory.at());
        }
        GasSample last = history.last();
        if (last != null
                && facts.lastRestart(last.source().id(), last.at())
                        .filter(r -> r.at().isAfter(laboratory.at()))
                        .isPresent()) {
            return Finding.untold(Why.OTHER_SOURCE, "oil or sensor changed since the laboratory sample");
        }
        List<Difference> differences = new ArrayList<>();
        for (Gas gas : GuideTables2019.GASES) {
            Concentration of = laboratory.of(gas);
            Concentration by = monitor.of(gas);
            if (of == null
                    || by == null
                    || of instanceof Concentration.Saturated
                    || by instanceof Concentration.Saturated) {
                continue;
            }
            differences.add(new Difference(gas, of.nominalPpm(), by.nominalPpm(), band(gas, of) + band(gas, by)));
        }
        return differences.isEmpty()
                ? Finding.untold(Why.MISSING_VALUE, "no gas that both have measured")
                : Finding.told(new LaboratoryComparison(laboratory, monitor, differences));
    }

    private static double band(Gas gas, Concentration known) {
        return known instanceof Concentration.BelowDetection below
                ? below.limitPpm()
                : MeasurementError.USUAL.halfWidth(gas, known.nominalPpm());
    }
}
