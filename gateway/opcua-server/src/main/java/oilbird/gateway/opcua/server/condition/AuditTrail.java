package oilbird.gateway.opcua.server.condition;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ushort;

import java.nio.ByteBuffer;
import java.util.Arrays;
import java.util.UUID;
import java.util.function.Consumer;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.gateway.opcua.server.event.MethodCall;
import oilbird.gateway.opcua.server.filter.FilteredEvent;
import oilbird.gateway.opcua.server.session.Rights;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.jspecify.annotations.Nullable;

/**
 * Audit events (OPC 10000-9, 5.10): one for every call of a method, failed ones too, and one for what changed an alarm by
 * another door or by itself, with a source name that says so.
 */
final class AuditTrail {
    private static final int ORDINARY = 100;
    private static final int REFUSED = 400;

    private final ServerSide side;
    private final Consumer<FilteredEvent> sink;

    AuditTrail(ServerSide side, Consumer<FilteredEvent> sink) {
        this.side = side;
        this.sink = sink;
    }

    static ByteString newEventId() {
        UUID id = UUID.randomUUID();
        return ByteString.of(ByteBuffer.allocate(16)
                .putLong(id.getMostSignificantBits())
                .putLong(id.getLeastSignificantBits())
                .array());
    }

    /**
     * A method was called.
     *
     * @param source the object it was called on.
     */
    void called(Verb verb, MethodCall call, NodeId source, Arguments arguments, StatusCode outcome) {
        String user = user(call);
        PlainEvent event = common(verb.auditType(), source, "Method/" + verb.methodName(), user, outcome.isGood())
                .with("ClientAuditEntryId", call.auditEntry())
                .with("MethodId", call.request().getMethodId())
                .with("StatusCodeId", outcome)
                .with("InputArguments", values(call))
                .with(
                        "Message",
                        new LocalizedText(
                                "en", (user.isEmpty() ? "nobody" : user) + ": " + verb.methodName() + ", " + outcome));
        if (verb == Verb.ACKNOWLEDGE || verb == Verb.CONFIRM || verb == Verb.ADD_COMMENT) {
            event.with("ConditionEventId", arguments.eventId()).with("Comment", arguments.comment());
        }
        if (verb.isShelving()) {
            event.with("ShelvingTime", arguments.shelvingMillis());
        }
        sink.accept(event);
    }

    private static Variant @Nullable [] values(MethodCall call) {
        Variant[] inputs = call.request().getInputArguments();
        return inputs == null ? null : Arrays.copyOf(inputs, inputs.length);
    }

    private static String user(MethodCall call) {
        var actor = Rights.actor(call.caller());
        return actor == null ? "" : actor.name();
    }

    /** Something happened to an alarm that no method of this server brought about. */
    void happened(AlarmEvent event) {
        NodeId type = typeOf(event.kind());
        boolean byOwnMethod = event.by() != null && event.by().door().equals(Rights.DOOR);
        if (type == null || byOwnMethod) {
            return;
        }
        String who = event.by() == null ? "" : event.by().name();
        sink.accept(common(type, source(event.alarm()), "Internal/" + wordOf(event.kind()), who, true)
                .with(
                        "Message",
                        new LocalizedText("en", (who.isEmpty() ? "by itself" : who) + ": " + wordOf(event.kind()))));
    }

    private NodeId source(AlarmId alarm) {
        return side.names().ofCondition(alarm);
    }

    private PlainEvent common(NodeId type, NodeId source, String sourceName, String user, boolean good) {
        DateTime now = ConditionEvent.time(side.now().wallMillis());
        return new PlainEvent(type)
                .with("EventId", newEventId())
                .with("SourceNode", source)
                .with("SourceName", sourceName)
                .with("Time", now)
                .with("ReceiveTime", now)
                .with("Severity", ushort(good ? ORDINARY : REFUSED))
                .with("ActionTimeStamp", now)
                .with("Status", good)
                .with("ServerId", side.milo().getConfig().getApplicationUri())
                .with("ClientUserId", user);
    }

    private static @Nullable NodeId typeOf(AlarmEvent.Kind kind) {
        return switch (kind) {
            case ACKNOWLEDGED, AUTO_ACKNOWLEDGED -> NodeIds.AuditConditionAcknowledgeEventType;
            case CONFIRMED -> NodeIds.AuditConditionConfirmEventType;
            case COMMENTED -> NodeIds.AuditConditionCommentEventType;
            case RESET -> NodeIds.AuditConditionResetEventType;
            case SHELVED, UNSHELVED, AUTO_UNSHELVED -> NodeIds.AuditConditionShelvingEventType;
            case SUPPRESSED, UNSUPPRESSED -> NodeIds.AuditConditionSuppressionEventType;
            case REMOVED_FROM_SERVICE, PLACED_IN_SERVICE -> NodeIds.AuditConditionOutOfServiceEventType;
            case DISABLED, ENABLED -> NodeIds.AuditConditionEnableEventType;
            default -> null;
        };
    }

    private static String wordOf(AlarmEvent.Kind kind) {
        return switch (kind) {
            case ACKNOWLEDGED, AUTO_ACKNOWLEDGED -> "Acknowledge";
            case CONFIRMED -> "Confirm";
            case COMMENTED -> "AddComment";
            case RESET -> "Reset";
            case SHELVED -> "Shelve";
            case UNSHELVED, AUTO_UNSHELVED -> "Unshelve";
            case SUPPRESSED -> "Suppress";
            case UNSUPPRESSED -> "Unsuppress";
            case REMOVED_FROM_SERVICE -> "RemoveFromService";
            case PLACED_IN_SERVICE -> "PlaceInService";
            case DISABLED -> "Disable";
            case ENABLED -> "Enable";
            default -> "";
        };
    }
}
