package oilbird.alarm.transformer.derived;

import java.util.List;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.heat.ThermalPoint;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/**
 * An immutable picture of what is computed of one transformer, for pages.
 *
 * @param gas the newest assessment, or null before the first.
 * @param gasReason the worst that is wrong with the gas readings now.
 * @param samples of the monitor as kept for trends.
 * @param laboratory in order of sampling.
 * @param comparison of the newest laboratory sample, or null where there is none.
 * @param heat temperatures of the last days, thinned.
 */
public record TransformerPicture(
        TransformerSetup setup,
        @Nullable GasAssessment gas,
        QualityReason gasReason,
        List<GasSample> samples,
        List<LaboratorySample> laboratory,
        @Nullable Finding<LaboratoryComparison> comparison,
        List<HeatPoint> heat) {
    /**
     * @param ageing relative ageing rate.
     */
    public record HeatPoint(
            ThermalPoint point,
            double load,
            double ambient,
            @Nullable Double topOil,
            double ageing) {}

    public TransformerPicture {
        samples = List.copyOf(samples);
        laboratory = List.copyOf(laboratory);
        heat = List.copyOf(heat);
    }
}
