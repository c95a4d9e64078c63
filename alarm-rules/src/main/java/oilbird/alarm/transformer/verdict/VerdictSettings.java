package oilbird.alarm.transformer.verdict;

import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.MeasurementError;
import oilbird.alarm.transformer.gas.TypicalValues;

/**
 * What an owner may set about the combined verdict.
 *
 * @param needsTypical whether a verdict needs a gas above its typical value (IEC 60599 5.2, from memory).
 * @param leastProbability below which the leading fault is not told apart; our choice, one half.
 */
public record VerdictSettings(
        Choices choices,
        MeasurementError error,
        TypicalValues typical,
        boolean needsTypical,
        double leastProbability,
        VerdictModel model) {
    /** Standing choices, the usual error, the standard's typical values for the asset, one half. */
    public static VerdictSettings usual(TransformerFacts facts) {
        return new VerdictSettings(
                Choices.STANDING,
                MeasurementError.USUAL,
                TypicalValues.iec60599(facts.equipment(), facts.tapChanger()),
                true,
                0.5,
                VerdictModel.fitted());
    }
}
