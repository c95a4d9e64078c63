package oilbird.gateway.opcua.server.condition;

import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.Trouble;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;

/**
 * The type of a condition by its rule. Which standard type stands for which kind of rule is a design reading, advice of
 * the reference and no rule of OPC 10000-9. Each has a subtype of our own with the explanation.
 */
public enum ConditionKind {
    OFF_NORMAL(1001, "ExplainedOffNormalAlarmType", NodeIds.OffNormalAlarmType),
    INSTRUMENT_DIAGNOSTIC(1002, "ExplainedInstrumentDiagnosticAlarmType", NodeIds.InstrumentDiagnosticAlarmType),
    SYSTEM_DIAGNOSTIC(1003, "ExplainedSystemDiagnosticAlarmType", NodeIds.SystemDiagnosticAlarmType),
    LEVEL(1004, "ExplainedExclusiveLevelAlarmType", NodeIds.ExclusiveLevelAlarmType),
    RATE_OF_CHANGE(1005, "ExplainedExclusiveRateOfChangeAlarmType", NodeIds.ExclusiveRateOfChangeAlarmType),
    DISCREPANCY(1006, "ExplainedDiscrepancyAlarmType", NodeIds.DiscrepancyAlarmType);

    private final int number;
    private final String typeName;
    private final NodeId base;

    ConditionKind(int number, String typeName, NodeId base) {
        this.number = number;
        this.typeName = typeName;
        this.base = base;
    }

    static ConditionKind of(RuleInstance rule) {
        if (rule.condition() instanceof Condition.Level) {
            return LEVEL;
        }
        if (rule.condition() instanceof Condition.RateOfChange) {
            return RATE_OF_CHANGE;
        }
        if (rule.condition() instanceof Condition.Discrepancy) {
            return DISCREPANCY;
        }
        Trouble trouble = rule.rule().record().trouble();
        return rule.condition() instanceof Condition.CommunicationLost
                        || trouble == Trouble.COMMUNICATION
                        || trouble == Trouble.GATEWAY
                ? SYSTEM_DIAGNOSTIC
                : trouble == Trouble.MONITOR ? INSTRUMENT_DIAGNOSTIC : OFF_NORMAL;
    }

    /** Numeric identifier of our type in the types' namespace. */
    int number() {
        return number;
    }

    String typeName() {
        return typeName;
    }

    /** The standard's type that ours is a subtype of. */
    NodeId base() {
        return base;
    }

    boolean hasLimits() {
        return this == LEVEL || this == RATE_OF_CHANGE;
    }

    /** OffNormalAlarmType has NormalState, which its diagnostic subtypes inherit. */
    boolean isOffNormal() {
        return this == OFF_NORMAL || this == INSTRUMENT_DIAGNOSTIC || this == SYSTEM_DIAGNOSTIC;
    }
}
