package oilbird.mapping.decode;

import oilbird.mapping.address.NodeValue;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Origin;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;

/** What the status code of an OPC UA value does to what the value says. */
final class NodeQuality {
    private NodeQuality() {}

    /** Why nothing can be concluded from the value; NONE where something can. */
    static QualityReason unusable(NodeValue value) {
        if (value.severity() != NodeValue.Severity.BAD) {
            return QualityReason.NONE;
        }
        return value.refused() ? QualityReason.REFUSED_BY_DEVICE : QualityReason.DECLARED_BAD;
    }

    /** The reading with the severity of the status code, its name and the time stamps. */
    static Reading of(NodeValue value, Reading bare) {
        Reading judged = value.severity() == NodeValue.Severity.UNCERTAIN
                ? bare.degraded(QualityReason.DECLARED_UNCERTAIN)
                : bare;
        return new Reading(
                judged.id(),
                judged.number(),
                judged.text(),
                judged.reason(),
                judged.at(),
                new Origin(value.statusName(), value.sourceMillis(), value.serverMillis()));
    }

    /** An uncertain "holds" may raise an alarm; an uncertain "does not hold" must not clear one. */
    static Indication of(NodeValue value, Indication bare) {
        return value.severity() == NodeValue.Severity.UNCERTAIN && bare.state() == IndicationState.DOES_NOT_HOLD
                ? Indication.cannotBeTold(bare.id(), QualityReason.DECLARED_UNCERTAIN, bare.at())
                : bare;
    }
}
