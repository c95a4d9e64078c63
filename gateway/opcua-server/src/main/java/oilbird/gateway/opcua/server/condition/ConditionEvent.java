package oilbird.gateway.opcua.server.condition;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;
import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ushort;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.function.Supplier;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.AlarmPolicy;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.Shelving;
import oilbird.gateway.opcua.server.filter.FilteredEvent;
import oilbird.gateway.opcua.server.space.Names;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.jspecify.annotations.Nullable;

/**
 * The event of a condition, as its image is. Fields are made when they are asked for; words once. One object serves all
 * clients of one event; used by one thread.
 */
final class ConditionEvent implements FilteredEvent {
    private static final double NANOS_PER_MILLI = 1_000_000.0;

    private final ConditionImage image;
    private final Names names;
    private final StationFacts facts;
    private final Moment now;
    private final @Nullable Boolean first;
    private final boolean retain;
    private final Supplier<Words> making;
    private @Nullable Words words;

    /**
     * @param first whether it came first in its group; null for an alarm of none.
     * @param making called at most once, and not at all where nobody asks for words.
     */
    ConditionEvent(
            ConditionImage image,
            Names names,
            StationFacts facts,
            Moment now,
            @Nullable Boolean first,
            boolean retain,
            Supplier<Words> making) {
        this.image = image;
        this.names = names;
        this.facts = facts;
        this.now = now;
        this.first = first;
        this.retain = retain;
        this.making = making;
    }

    /** The same event for a client whose filter it no longer passes: nothing to keep (OPC 10000-9, 5.5.2). */
    ConditionEvent notRetained() {
        return new ConditionEvent(image, names, facts, now, first, false, this::words);
    }

    ConditionImage image() {
        return image;
    }

    static ByteString eventId(String text) {
        return text.isEmpty() ? ByteString.NULL_VALUE : ByteString.of(text.getBytes(StandardCharsets.UTF_8));
    }

    static DateTime time(long wallMillis) {
        return new DateTime(Instant.ofEpochMilli(wallMillis));
    }

    @Override
    public NodeId type() {
        return names.ofType(image.kind().number());
    }

    @Override
    public @Nullable NodeId node(String path) {
        return path.isEmpty()
                ? names.ofCondition(image.rule().id())
                : ConditionNodes.part(names.ofCondition(image.rule().id()), path);
    }

    @Override
    public @Nullable Object value(String path) {
        String own = names.types() + ":";
        if (path.startsWith(own)) {
            OwnField field = OwnField.named(path.substring(own.length()));
            return field == null ? null : own(field);
        }
        int slash = path.indexOf('/');
        return slash < 0 ? plain(path) : part(path.substring(0, slash), path.substring(slash + 1));
    }

    private @Nullable Object plain(String name) {
        RuleInstance rule = image.rule();
        AlarmPolicy policy = rule.policy();
        return switch (name) {
            case "EventId" -> eventId(image.eventId());
            case "EventType" -> type();
            case "SourceNode" -> source(rule, names);
            case "SourceName" -> sourceName(rule, facts);
            case "Time" -> image.at() == null ? null : time(image.at().wallMillis());
            case "ReceiveTime" -> image.receivedMillis() == 0 ? null : time(image.receivedMillis());
            case "Message" -> Words.text(words().message());
            case "Severity" -> ushort(Severity.of(image.priority()));
            case "ConditionClassId" -> classId(policy.alarmClass());
            case "ConditionClassName" -> Words.text(className(policy.alarmClass()));
            case "ConditionSubClassId" -> new NodeId[0];
            case "ConditionSubClassName" -> new LocalizedText[0];
            case "ConditionName" -> rule.id().rule();
            case "BranchId" -> NodeId.NULL_VALUE;
            case "Retain" -> retain;
            case "SupportsFilteredRetain" -> true;
            case "Quality" -> Severity.of(image.quality(), image.test());
            case "LastSeverity" -> ushort(image.lastSeverity());
            case "Comment" -> comment();
            case "ClientUserId" -> image.commentBy();
            case "InputNode" -> input(rule);
            case "NormalState" -> image.kind().isOffNormal() ? NodeId.NULL_VALUE : null;
            case "SuppressedOrShelved" -> image.suppressedOrShelved();
            case "MaxTimeShelved" -> policy.shelvingAllowed() ? millis(policy.maxShelveTime()) : null;
            case "OnDelay" -> millis(policy.onDelay());
            case "OffDelay" -> millis(policy.offDelay());
            case "ReAlarmTime" -> policy.reAlarmTime().isZero() ? null : millis(policy.reAlarmTime());
            case "ReAlarmRepeatCount" ->
                policy.reAlarmTime().isZero() ? null : (short) Math.min(image.reAlarms(), Short.MAX_VALUE);
            case "HighHighLimit", "HighLimit", "LowLimit", "LowLowLimit" -> limit(name);
            case "HighHighDeadband", "HighDeadband", "LowDeadband", "LowLowDeadband" ->
                limit(name.replace("Deadband", "Limit")) == null
                        ? null
                        : ((Condition.Limited) rule.condition()).deadband();
            case "TargetValueNode" ->
                rule.condition() instanceof Condition.Discrepancy
                        ? names.ofReading(rule.inputs().get(1))
                        : null;
            case "ExpectedTime" -> rule.condition() instanceof Condition.Discrepancy ? millis(policy.onDelay()) : null;
            case "Tolerance" ->
                rule.condition() instanceof Condition.Discrepancy d && !d.percent()
                        ? d.limits().get(0).value()
                        : null;
            case "FirstInGroupFlag" -> first;
            case "EnabledState" -> two(image.enabled(), "Enabled", "Disabled");
            case "AckedState" -> two(image.acknowledged(), "Acknowledged", "Unacknowledged");
            case "ConfirmedState" ->
                image.asksConfirmation() ? two(image.confirmed(), "Confirmed", "Unconfirmed") : null;
            case "ActiveState" -> two(image.active(), "Active", "Inactive");
            case "SuppressedState" -> suppressible() ? two(image.suppressed(), "Suppressed", "Unsuppressed") : null;
            case "OutOfServiceState" -> two(image.outOfService(), "Out of Service", "In Service");
            case "LatchedState" -> policy.latching() ? two(image.latched(), "Latched", "Unlatched") : null;
            default -> null;
        };
    }

    private @Nullable Object part(String of, String name) {
        return switch (of) {
            case "EnabledState" -> id(name, image.enabled());
            case "AckedState" -> id(name, image.acknowledged());
            case "ConfirmedState" -> image.asksConfirmation() ? id(name, image.confirmed()) : null;
            case "ActiveState" -> id(name, image.active());
            case "SuppressedState" -> suppressible() ? id(name, image.suppressed()) : null;
            case "OutOfServiceState" -> id(name, image.outOfService());
            case "LatchedState" -> image.rule().policy().latching() ? id(name, image.latched()) : null;
            case "Quality", "LastSeverity", "Comment" ->
                name.equals("SourceTimestamp") && image.at() != null
                        ? time(image.at().wallMillis())
                        : null;
            case "ShelvingState" -> image.rule().policy().shelvingAllowed() ? shelving(name) : null;
            case "LimitState" -> image.kind().hasLimits() ? limitState(name) : null;
            default -> null;
        };
    }

    private static @Nullable Object id(String name, boolean state) {
        return name.equals("Id") ? state : null;
    }

    private @Nullable Object shelving(String name) {
        return switch (name) {
            case "CurrentState" ->
                Words.text(
                        switch (image.shelving()) {
                            case NONE -> "Unshelved";
                            case TIMED -> "TimedShelved";
                            case ONE_SHOT -> "OneShotShelved";
                        });
            case "CurrentState/Id" ->
                switch (image.shelving()) {
                    case NONE -> NodeIds.ShelvedStateMachineType_Unshelved;
                    case TIMED -> NodeIds.ShelvedStateMachineType_TimedShelved;
                    case ONE_SHOT -> NodeIds.ShelvedStateMachineType_OneShotShelved;
                };
            case "UnshelveTime" -> unshelveTime(image, now);
            default -> null;
        };
    }

    /** What is left of shelving, in ms; the longest Duration where there is no limit (from memory). */
    static double unshelveTime(ConditionImage image, Moment now) {
        if (image.shelving() == Shelving.Kind.NONE) {
            return 0;
        }
        return image.unshelveAt() == AlarmState.NEVER
                ? Double.MAX_VALUE
                : Math.max(0, (image.unshelveAt() - now.monotonicNanos()) / NANOS_PER_MILLI);
    }

    private @Nullable Object limitState(String name) {
        String reached = reached();
        return switch (name) {
            case "CurrentState" -> reached.isEmpty() ? null : Words.text(reached);
            case "CurrentState/Id" ->
                switch (reached) {
                    case "HighHigh" -> NodeIds.ExclusiveLimitStateMachineType_HighHigh;
                    case "High" -> NodeIds.ExclusiveLimitStateMachineType_High;
                    case "Low" -> NodeIds.ExclusiveLimitStateMachineType_Low;
                    case "LowLow" -> NodeIds.ExclusiveLimitStateMachineType_LowLow;
                    default -> null;
                };
            default -> null;
        };
    }

    /** The limit that is reached, by the priority that the alarm has with it; empty while inactive. */
    private String reached() {
        if (!image.active() || !(image.rule().condition() instanceof Condition.Limited limited)) {
            return "";
        }
        boolean first = limited.limits().get(0).priority() == image.priority();
        boolean high = limited.direction() == Condition.Direction.HIGH;
        return first || limited.limits().size() == 1 ? high ? "High" : "Low" : high ? "HighHigh" : "LowLow";
    }

    /** Of more than two limits the first and the last are told; the standard's type has no more. */
    private @Nullable Double limit(String name) {
        if (!image.kind().hasLimits() || !(image.rule().condition() instanceof Condition.Limited limited)) {
            return null;
        }
        if (name.startsWith("High") != (limited.direction() == Condition.Direction.HIGH)) {
            return null;
        }
        List<Condition.Limit> limits = limited.limits();
        if (name.equals("HighLimit") || name.equals("LowLimit")) {
            return limits.get(0).value();
        }
        return limits.size() < 2 ? null : (Double) limits.get(limits.size() - 1).value();
    }

    private boolean suppressible() {
        return image.rule().policy().suppressionAllowed();
    }

    private LocalizedText comment() {
        String said = image.comment();
        return said == null ? LocalizedText.NULL_VALUE : new LocalizedText("en", said);
    }

    private @Nullable Object own(OwnField field) {
        return switch (field) {
            case LIKELY_CAUSE -> Words.text(words().likelyCause());
            case DIAGNOSIS_ID -> words().diagnosis();
            case FIRST_CHECKS -> Words.texts(words().checks());
            case CHECKS_WITHDRAWN -> ushort(words().withdrawn());
            case KEEP_AWAY -> Words.texts(words().keepAway());
            case TRUST -> Words.text(words().trust());
            case READINGS_TRUSTED -> words().trusted();
            case TROUBLE -> Words.text(words().trouble());
            case CALL -> Words.text(words().call());
            case RESPONSE -> Words.text(words().response());
            case TIME_TO_RESPOND -> words().within() == null ? null : millis(words().within());
            case EVENT_ID_TEXT -> image.eventId();
            case OCCURRENCE -> uint(image.occurrence());
            case EVIDENCE -> words().evidence();
            case ACTED_BY -> image.by();
            case UNDER_TEST -> image.test();
            case MAINTENANCE -> Words.text(words().maintenance());
            case ALSO_HARDWIRED -> words().alsoHardwired();
            case TIME_TRUSTED -> image.at() == null || image.at().wallTrusted();
        };
    }

    private Words words() {
        Words made = words;
        if (made == null) {
            made = making.get();
            words = made;
        }
        return made;
    }

    static NodeId source(RuleInstance rule, Names names) {
        return rule.device() == null
                ? names.ofAsset(rule.asset().id())
                : names.ofDevice(rule.device().id());
    }

    static String sourceName(RuleInstance rule, StationFacts facts) {
        String asset = rule.asset().name();
        return rule.device() == null ? asset : asset + ": " + rule.device().name();
    }

    /** The variable that drives it, where one alone does. */
    private NodeId input(RuleInstance rule) {
        if (rule.inputs().isEmpty()) {
            return NodeId.NULL_VALUE;
        }
        SignalId first = rule.inputs().get(0);
        if (rule.condition() instanceof Condition.Limited || rule.condition() instanceof Condition.Overdue) {
            return names.ofReading(first);
        }
        return rule.condition() instanceof Condition.Composed ? NodeId.NULL_VALUE : names.ofIndication(first);
    }

    private static LocalizedText two(boolean state, String whenTrue, String whenFalse) {
        return new LocalizedText("en", state ? whenTrue : whenFalse);
    }

    private static double millis(Duration duration) {
        return duration.toNanos() / NANOS_PER_MILLI;
    }

    private static NodeId classId(AlarmClass of) {
        return switch (of) {
            case SAFETY -> NodeIds.SafetyConditionClassType;
            case EQUIPMENT_PROTECTION, EQUIPMENT_HEALTH, AUXILIARY -> NodeIds.ProcessConditionClassType;
            case INSTRUMENT_DIAGNOSTIC -> NodeIds.MaintenanceConditionClassType;
            case COMMUNICATIONS, SYSTEM -> NodeIds.SystemConditionClassType;
        };
    }

    private static String className(AlarmClass of) {
        return switch (of) {
            case SAFETY -> "Safety";
            case EQUIPMENT_PROTECTION, EQUIPMENT_HEALTH, AUXILIARY -> "Process";
            case INSTRUMENT_DIAGNOSTIC -> "Maintenance";
            case COMMUNICATIONS, SYSTEM -> "System";
        };
    }
}
