package oilbird.gateway.opcua.server.condition;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import oilbird.gateway.access.Action;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.jspecify.annotations.Nullable;

/** A method of conditions: what it needs and how it is audited (OPC 10000-9, 5.5 to 5.8 and 5.10). */
enum Verb {
    ACKNOWLEDGE(
            "Acknowledge",
            Action.ACKNOWLEDGE,
            NodeIds.AuditConditionAcknowledgeEventType,
            List.of(Argument.EVENT_ID, Argument.COMMENT),
            NodeIds.AcknowledgeableConditionType_Acknowledge),
    CONFIRM(
            "Confirm",
            Action.CONFIRM,
            NodeIds.AuditConditionConfirmEventType,
            List.of(Argument.EVENT_ID, Argument.COMMENT),
            NodeIds.AcknowledgeableConditionType_Confirm),
    ADD_COMMENT(
            "AddComment",
            Action.COMMENT,
            NodeIds.AuditConditionCommentEventType,
            List.of(Argument.EVENT_ID, Argument.COMMENT),
            NodeIds.ConditionType_AddComment),
    ENABLE("Enable", Action.DISABLE, NodeIds.AuditConditionEnableEventType, List.of(), NodeIds.ConditionType_Enable),
    DISABLE("Disable", Action.DISABLE, NodeIds.AuditConditionEnableEventType, List.of(), NodeIds.ConditionType_Disable),
    TIMED_SHELVE(
            "TimedShelve",
            Action.SHELVE,
            NodeIds.AuditConditionShelvingEventType,
            List.of(Argument.SHELVING_TIME),
            NodeIds.AlarmConditionType_ShelvingState_TimedShelve,
            NodeIds.ShelvedStateMachineType_TimedShelve),
    TIMED_SHELVE_2(
            "TimedShelve2",
            Action.SHELVE,
            NodeIds.AuditConditionShelvingEventType,
            List.of(Argument.SHELVING_TIME, Argument.COMMENT),
            NodeIds.AlarmConditionType_ShelvingState_TimedShelve2,
            NodeIds.ShelvedStateMachineType_TimedShelve2),
    ONE_SHOT_SHELVE(
            "OneShotShelve",
            Action.SHELVE,
            NodeIds.AuditConditionShelvingEventType,
            List.of(),
            NodeIds.AlarmConditionType_ShelvingState_OneShotShelve,
            NodeIds.ShelvedStateMachineType_OneShotShelve),
    ONE_SHOT_SHELVE_2(
            "OneShotShelve2",
            Action.SHELVE,
            NodeIds.AuditConditionShelvingEventType,
            List.of(Argument.COMMENT),
            NodeIds.AlarmConditionType_ShelvingState_OneShotShelve2,
            NodeIds.ShelvedStateMachineType_OneShotShelve2),
    UNSHELVE(
            "Unshelve",
            Action.SHELVE,
            NodeIds.AuditConditionShelvingEventType,
            List.of(),
            NodeIds.AlarmConditionType_ShelvingState_Unshelve,
            NodeIds.ShelvedStateMachineType_Unshelve),
    UNSHELVE_2(
            "Unshelve2",
            Action.SHELVE,
            NodeIds.AuditConditionShelvingEventType,
            List.of(Argument.COMMENT),
            NodeIds.AlarmConditionType_ShelvingState_Unshelve2,
            NodeIds.ShelvedStateMachineType_Unshelve2),
    RESET("Reset", Action.RESET, NodeIds.AuditConditionResetEventType, List.of(), NodeIds.AlarmConditionType_Reset),
    RESET_2(
            "Reset2",
            Action.RESET,
            NodeIds.AuditConditionResetEventType,
            List.of(Argument.COMMENT),
            NodeIds.AlarmConditionType_Reset2),
    SUPPRESS(
            "Suppress",
            Action.SUPPRESS,
            NodeIds.AuditConditionSuppressionEventType,
            List.of(),
            NodeIds.AlarmConditionType_Suppress),
    SUPPRESS_2(
            "Suppress2",
            Action.SUPPRESS,
            NodeIds.AuditConditionSuppressionEventType,
            List.of(Argument.COMMENT),
            NodeIds.AlarmConditionType_Suppress2),
    UNSUPPRESS(
            "Unsuppress",
            Action.SUPPRESS,
            NodeIds.AuditConditionSuppressionEventType,
            List.of(),
            NodeIds.AlarmConditionType_Unsuppress),
    UNSUPPRESS_2(
            "Unsuppress2",
            Action.SUPPRESS,
            NodeIds.AuditConditionSuppressionEventType,
            List.of(Argument.COMMENT),
            NodeIds.AlarmConditionType_Unsuppress2),
    REMOVE_FROM_SERVICE(
            "RemoveFromService",
            Action.TAKE_OUT_OF_SERVICE,
            NodeIds.AuditConditionOutOfServiceEventType,
            List.of(),
            NodeIds.AlarmConditionType_RemoveFromService),
    REMOVE_FROM_SERVICE_2(
            "RemoveFromService2",
            Action.TAKE_OUT_OF_SERVICE,
            NodeIds.AuditConditionOutOfServiceEventType,
            List.of(Argument.COMMENT),
            NodeIds.AlarmConditionType_RemoveFromService2),
    PLACE_IN_SERVICE(
            "PlaceInService",
            Action.TAKE_OUT_OF_SERVICE,
            NodeIds.AuditConditionOutOfServiceEventType,
            List.of(),
            NodeIds.AlarmConditionType_PlaceInService),
    PLACE_IN_SERVICE_2(
            "PlaceInService2",
            Action.TAKE_OUT_OF_SERVICE,
            NodeIds.AuditConditionOutOfServiceEventType,
            List.of(Argument.COMMENT),
            NodeIds.AlarmConditionType_PlaceInService2),
    REFRESH(
            "ConditionRefresh",
            Action.VIEW,
            NodeIds.AuditUpdateMethodEventType,
            List.of(Argument.SUBSCRIPTION),
            NodeIds.ConditionType_ConditionRefresh),
    REFRESH_2(
            "ConditionRefresh2",
            Action.VIEW,
            NodeIds.AuditUpdateMethodEventType,
            List.of(Argument.SUBSCRIPTION, Argument.ITEM),
            NodeIds.ConditionType_ConditionRefresh2),
    RESET_METRICS(
            "Reset", Action.MAINTAIN, NodeIds.AuditUpdateMethodEventType, List.of(), NodeIds.AlarmMetricsType_Reset);

    /** Type of an input argument. */
    enum Argument {
        EVENT_ID,
        COMMENT,
        SHELVING_TIME,
        SUBSCRIPTION,
        ITEM
    }

    private static final Map<NodeId, Verb> BY_METHOD = new HashMap<>();

    static {
        for (Verb verb : values()) {
            verb.methods.forEach(method -> BY_METHOD.put(method, verb));
        }
    }

    private final String methodName;
    private final Action action;
    private final NodeId auditType;
    private final List<Argument> arguments;
    private final List<NodeId> methods;

    Verb(String methodName, Action action, NodeId auditType, List<Argument> arguments, NodeId... methods) {
        this.methodName = methodName;
        this.action = action;
        this.auditType = auditType;
        this.arguments = arguments;
        this.methods = List.of(methods);
    }

    /** The verb of a method of the standard's types; null for any other method. */
    static @Nullable Verb of(NodeId method) {
        return BY_METHOD.get(method);
    }

    String methodName() {
        return methodName;
    }

    Action action() {
        return action;
    }

    NodeId auditType() {
        return auditType;
    }

    List<Argument> arguments() {
        return arguments;
    }

    /** Node ids of the method in the standard's types. */
    List<NodeId> methods() {
        return methods;
    }

    boolean isShelving() {
        return this.auditType.equals(NodeIds.AuditConditionShelvingEventType);
    }

    boolean isRefresh() {
        return this == REFRESH || this == REFRESH_2;
    }
}
