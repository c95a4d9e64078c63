package oilbird.gateway.opcua.server.condition;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.EnumMap;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.Refusal;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.gateway.opcua.server.event.MethodCall;
import oilbird.gateway.opcua.server.session.Rights;
import oilbird.mapping.signal.Moment;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodResult;
import org.jspecify.annotations.Nullable;

/**
 * The methods of conditions. Each becomes one act of the station, answered once it is durable; no thread waits with it.
 *
 * <p>A condition has no instance node, so a client gives its ConditionId with the method of the type (OPC 10000-9,
 * 5.7.3); on a type node every method is refused.
 */
final class ConditionCalls {
    private static final double NANOS_PER_MILLI = 1_000_000.0;
    private static final Map<Refusal, StatusCode> STATUS = new EnumMap<>(Refusal.class);

    static {
        for (Refusal refusal : Refusal.values()) {
            STATUS.put(refusal, statusOf(refusal));
        }
    }

    private final ServerSide side;
    private final ConditionStore store;
    private final AuditTrail audit;
    private final Refreshes refreshes;
    private final AlarmMetrics metrics;
    private final EventCatalogue types;

    ConditionCalls(
            ServerSide side,
            ConditionStore store,
            AuditTrail audit,
            Refreshes refreshes,
            AlarmMetrics metrics,
            EventCatalogue types) {
        this.side = side;
        this.store = store;
        this.audit = audit;
        this.refreshes = refreshes;
        this.metrics = metrics;
        this.types = types;
    }

    /** The status that the fold's refusal names. */
    private static StatusCode statusOf(Refusal refusal) {
        try {
            return new StatusCode(
                    StatusCodes.class.getField(refusal.opcUaStatus()).getLong(null));
        } catch (ReflectiveOperationException e) {
            throw new IllegalStateException("no status code " + refusal.opcUaStatus(), e);
        }
    }

    static StatusCode status(Refusal refusal) {
        return Objects.requireNonNull(STATUS.get(refusal));
    }

    /** Null for a method that is none of a condition. */
    @Nullable
    CompletionStage<CallMethodResult> call(MethodCall call) {
        NodeId object = call.request().getObjectId();
        Verb verb = Verb.of(call.request().getMethodId());
        if (verb == null
                && ConditionNodes.isMetricsReset(side.names(), call.request().getMethodId())) {
            verb = Verb.RESET_METRICS;
        }
        if (verb == null) {
            return null;
        }
        Arguments arguments = Arguments.of(verb, call.request().getInputArguments());
        Verb known = verb;
        return outcome(verb, call, object, arguments).thenApply(status -> {
            audit.called(known, call, object, arguments, status);
            return new CallMethodResult(status, arguments.each().toArray(StatusCode[]::new), null, null);
        });
    }

    private CompletableFuture<StatusCode> outcome(Verb verb, MethodCall call, NodeId object, Arguments arguments) {
        if (!side.rights().may(call.caller(), verb.action(), verb.methodName())) {
            return at(StatusCodes.Bad_UserAccessDenied);
        }
        if (verb.isRefresh()) {
            return arguments.status().isBad()
                    ? CompletableFuture.completedFuture(arguments.status())
                    : at(refreshes.begin(call, object, arguments));
        }
        if (verb == Verb.RESET_METRICS) {
            if (!object.equals(ConditionNodes.metrics(side.names()))) {
                return at(StatusCodes.Bad_NodeIdInvalid);
            }
            metrics.reset(side.now());
            return at(StatusCode.GOOD.value());
        }
        AlarmId id = types.isEventType(object) ? null : ConditionNodes.alarm(side.names(), object, verb.isShelving());
        ConditionImage image = id == null ? null : store.get(id);
        if (image == null) {
            return at(StatusCodes.Bad_NodeIdInvalid);
        }
        if (!has(verb, image)) {
            return at(StatusCodes.Bad_MethodInvalid);
        }
        if (arguments.status().isBad()) {
            return CompletableFuture.completedFuture(arguments.status());
        }
        Actor by = Rights.actor(call.caller());
        if (by == null) {
            return at(StatusCodes.Bad_UserAccessDenied);
        }
        return act(verb, image, by, arguments);
    }

    private static CompletableFuture<StatusCode> at(long status) {
        return CompletableFuture.completedFuture(new StatusCode(status));
    }

    /** False where the condition lacks the optional state that the method changes. */
    private static boolean has(Verb verb, ConditionImage image) {
        var policy = image.rule().policy();
        return switch (verb) {
            case CONFIRM -> policy.confirmation();
            case RESET, RESET_2 -> policy.latching() || image.latched();
            case SUPPRESS, SUPPRESS_2, UNSUPPRESS, UNSUPPRESS_2 -> policy.suppressionAllowed();
            case TIMED_SHELVE, TIMED_SHELVE_2, ONE_SHOT_SHELVE, ONE_SHOT_SHELVE_2, UNSHELVE, UNSHELVE_2 ->
                policy.shelvingAllowed();
            default -> true;
        };
    }

    private CompletableFuture<StatusCode> act(Verb verb, ConditionImage image, Actor by, Arguments arguments) {
        AlarmId id = image.rule().id();
        boolean withEvent = verb.arguments().contains(Verb.Argument.EVENT_ID);
        String seen = withEvent ? text(arguments.eventId()) : null;
        if (withEvent && seen == null) {
            return at(StatusCodes.Bad_EventIdUnknown);
        }
        if (verb == Verb.ADD_COMMENT && arguments.words().isEmpty() && !arguments.clears()) {
            // Nothing is said, so nothing is recorded; the event must be the present one all the same.
            return at(
                    !image.enabled()
                            ? StatusCodes.Bad_ConditionDisabled
                            : image.eventId().equals(seen) ? StatusCode.GOOD.value() : StatusCodes.Bad_EventIdUnknown);
        }
        AlarmInput.Act act = act(verb, by, arguments, seen, side.now());
        if (act == null) {
            return at(StatusCodes.Bad_ShelvingTimeOutOfRange);
        }
        CompletableFuture<StatusCode> outcome = ask(id, act);
        if (verb == Verb.ADD_COMMENT || !arguments.clears()) {
            return outcome;
        }
        return outcome.thenCompose(status -> status.isBad()
                ? CompletableFuture.completedFuture(status)
                : ask(id, new AlarmInput.Comment(by, "", null, side.now())));
    }

    private CompletableFuture<StatusCode> ask(AlarmId id, AlarmInput.Act act) {
        return side.acts()
                .act(new StationInput.Act(id, act))
                .thenApply(ConditionCalls::status)
                .completeOnTimeout(
                        new StatusCode(StatusCodes.Bad_Timeout), side.patience().toMillis(), TimeUnit.MILLISECONDS);
    }

    private static StatusCode status(ActResult result) {
        if (result instanceof ActResult.Refused refused) {
            return status(refused.refusal());
        }
        return result instanceof ActResult.Done ? StatusCode.GOOD : new StatusCode(StatusCodes.Bad_ResourceUnavailable);
    }

    /** Null for an event id that cannot be one of ours. */
    private static @Nullable String text(@Nullable ByteString eventId) {
        byte[] bytes = eventId == null ? null : eventId.bytes();
        return bytes == null || bytes.length == 0 || bytes.length > 200
                ? null
                : new String(bytes, StandardCharsets.UTF_8);
    }

    /** Null where the shelving time is no time. */
    private static AlarmInput.@Nullable Act act(
            Verb verb, Actor by, Arguments arguments, @Nullable String seen, Moment now) {
        String words = arguments.words();
        return switch (verb) {
            case ACKNOWLEDGE -> new AlarmInput.Acknowledge(by, words, seen, now);
            case CONFIRM -> new AlarmInput.Confirm(by, words, seen, now);
            case ADD_COMMENT -> new AlarmInput.Comment(by, words, seen, now);
            case ENABLE -> new AlarmInput.Enable(by, words, now);
            case DISABLE -> new AlarmInput.Disable(by, words, now);
            case TIMED_SHELVE, TIMED_SHELVE_2 -> {
                Duration time = duration(arguments.shelvingMillis());
                yield time == null ? null : new AlarmInput.ShelveTimed(by, words, time, now);
            }
            case ONE_SHOT_SHELVE, ONE_SHOT_SHELVE_2 -> new AlarmInput.ShelveOneShot(by, words, now);
            case UNSHELVE, UNSHELVE_2 -> new AlarmInput.Unshelve(by, words, now);
            case RESET, RESET_2 -> new AlarmInput.Reset(by, words, now);
            case SUPPRESS, SUPPRESS_2 -> new AlarmInput.Suppress(by, words, now);
            case UNSUPPRESS, UNSUPPRESS_2 -> new AlarmInput.Unsuppress(by, words, now);
            case REMOVE_FROM_SERVICE, REMOVE_FROM_SERVICE_2 ->
                new AlarmInput.RemoveFromService(by, words, "", Duration.ZERO, now);
            case PLACE_IN_SERVICE, PLACE_IN_SERVICE_2 -> new AlarmInput.PlaceInService(by, words, now);
            case REFRESH, REFRESH_2, RESET_METRICS -> throw new IllegalArgumentException(verb + " is no act");
        };
    }

    private static @Nullable Duration duration(@Nullable Double millis) {
        return millis == null || !(millis > 0) || millis > Long.MAX_VALUE / NANOS_PER_MILLI
                ? null
                : Duration.ofNanos(Math.round(millis * NANOS_PER_MILLI));
    }
}
