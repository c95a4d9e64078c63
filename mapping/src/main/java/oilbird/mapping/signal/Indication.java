package oilbird.mapping.signal;

/**
 * A named state of a device or asset at a time.
 *
 * @param reason why it cannot be told; {@link QualityReason#NONE} otherwise.
 */
public record Indication(SignalId id, IndicationState state, QualityReason reason, Moment at) {
    public static Indication of(SignalId id, boolean holds, Moment at) {
        return new Indication(
                id, holds ? IndicationState.HOLDS : IndicationState.DOES_NOT_HOLD, QualityReason.NONE, at);
    }

    public static Indication cannotBeTold(SignalId id, QualityReason reason, Moment at) {
        return new Indication(id, IndicationState.CANNOT_BE_TOLD, reason, at);
    }
}
