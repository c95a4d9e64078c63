package oilbird.gateway.engine.record;

import static oilbird.gateway.engine.record.CanonicalJson.actor;
import static oilbird.gateway.engine.record.CanonicalJson.field;
import static oilbird.gateway.engine.record.CanonicalJson.moment;
import static oilbird.gateway.engine.record.CanonicalJson.name;
import static oilbird.gateway.engine.record.CanonicalJson.number;
import static oilbird.gateway.engine.record.CanonicalJson.parse;
import static oilbird.gateway.engine.record.CanonicalJson.text;
import static oilbird.gateway.engine.record.CanonicalJson.truth;

import com.fasterxml.jackson.databind.JsonNode;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.OutOfService;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.Shelving;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/**
 * The stored form of one alarm's memories, and their passage over a restart.
 *
 * <p>Deadlines are stored on the monotonic clock of the process that wrote them, together with the moment of
 * writing. When read, they are set on the reader's clock. Shelving, out of service and re-alarm times went on
 * while the gateway was down, as far as both wall clocks can be trusted. A delay did not: nobody watched its
 * condition.
 */
final class StateCodec {
    private static final int VERSION = 1;

    private StateCodec() {}

    static byte[] write(AlarmState state, Moment saved) {
        return CanonicalJson.object(json -> {
            json.writeNumberField("v", VERSION);
            moment(json, "saved", saved);
            text(json, "asset", state.id().asset());
            text(json, "rule", state.id().rule());
            json.writeBooleanField("enabled", state.enabled());
            json.writeFieldName("condition");
            Boolean condition = state.condition();
            if (condition == null) {
                json.writeNull();
            } else {
                json.writeBoolean(condition);
            }
            json.writeBooleanField("active", state.active());
            json.writeBooleanField("acknowledged", state.acknowledged());
            json.writeBooleanField("latched", state.latched());
            json.writeObjectFieldStart("shelving");
            text(json, "kind", state.shelving().kind().name());
            json.writeNumberField("until", state.shelving().until());
            json.writeNumberField("untilWall", state.shelving().untilWallMillis());
            actor(json, "by", state.shelving().by());
            text(json, "reason", state.shelving().reason());
            json.writeEndObject();
            json.writeBooleanField("suppressed", state.suppressedByDesign());
            json.writeFieldName("outOfService");
            OutOfService out = state.outOfService();
            if (out == null) {
                json.writeNull();
            } else {
                json.writeStartObject();
                actor(json, "by", out.by());
                text(json, "reason", out.reason());
                text(json, "permit", out.permit());
                json.writeNumberField("until", out.until());
                json.writeNumberField("untilWall", out.untilWallMillis());
                json.writeEndObject();
            }
            json.writeNumberField("occurrence", state.occurrence());
            text(json, "priority", state.priority().name());
            text(json, "quality", state.quality().name());
            json.writeNumberField("pendingSince", state.pendingSince());
            json.writeNumberField("pendingSamples", state.pendingSamples());
            json.writeNumberField("reAlarmAt", state.reAlarmAt());
            text(json, "lastEvent", state.lastEvent());
            moment(json, "activeSince", state.activeSince());
        });
    }

    /**
     * Reads the memories as they stood.
     *
     * @throws UnreadableRowException if the bytes are no known version.
     */
    static AlarmState read(byte[] bytes) {
        return read(parse(bytes), 0, 0);
    }

    /**
     * Reads the memories and sets their times on the clock of {@code now}.
     *
     * @throws UnreadableRowException if the bytes are no known version.
     */
    static AlarmState readAt(byte[] bytes, Moment now) {
        JsonNode json = parse(bytes);
        Moment saved = moment(json, "saved");
        long downNanos = saved.wallTrusted() && now.wallTrusted()
                ? Math.max(0, now.wallMillis() - saved.wallMillis()) * 1_000_000
                : 0;
        long running = now.monotonicNanos() - saved.monotonicNanos();
        return read(json, running, running - downNanos);
    }

    /**
     * @param watched added to times that stand still while nobody watches.
     * @param passing added to times that pass in any case.
     */
    private static AlarmState read(JsonNode json, long watched, long passing) {
        long version = number(json, "v");
        if (version != 1) {
            throw new UnreadableRowException("unknown version of an alarm's memories: " + version);
        }
        JsonNode condition = field(json, "condition");
        JsonNode activeSince = field(json, "activeSince");
        return new AlarmState(
                new AlarmId(text(json, "asset"), text(json, "rule")),
                truth(json, "enabled"),
                condition.isNull() ? null : condition.booleanValue(),
                truth(json, "active"),
                truth(json, "acknowledged"),
                truth(json, "latched"),
                shelving(field(json, "shelving"), passing),
                truth(json, "suppressed"),
                outOfService(field(json, "outOfService"), passing),
                number(json, "occurrence"),
                name(json, "priority", Priority.class),
                name(json, "quality", Quality.class),
                shifted(number(json, "pendingSince"), watched),
                Math.toIntExact(number(json, "pendingSamples")),
                shifted(number(json, "reAlarmAt"), passing),
                text(json, "lastEvent"),
                activeSince.isNull() ? null : shifted(moment(json, "activeSince"), passing));
    }

    private static Shelving shelving(JsonNode json, long passing) {
        return new Shelving(
                name(json, "kind", Shelving.Kind.class),
                shifted(number(json, "until"), passing),
                number(json, "untilWall"),
                actor(json, "by"),
                text(json, "reason"));
    }

    private static @Nullable OutOfService outOfService(JsonNode json, long passing) {
        if (json.isNull()) {
            return null;
        }
        Actor by = actor(json, "by");
        if (by == null) {
            throw new UnreadableRowException("out of service by nobody");
        }
        return new OutOfService(
                by,
                text(json, "reason"),
                text(json, "permit"),
                shifted(number(json, "until"), passing),
                number(json, "untilWall"));
    }

    private static Moment shifted(Moment at, long by) {
        return new Moment(at.monotonicNanos() + by, at.wallMillis(), at.wallTrusted());
    }

    private static long shifted(long deadline, long by) {
        return deadline == AlarmState.NEVER ? AlarmState.NEVER : deadline + by;
    }
}
