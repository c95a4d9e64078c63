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
import oilbird.alarm.state.Pending;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.state.Suppression;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/**
 * The stored form of one alarm's memories. Deadlines are stored as they are, on the monotonic clock of the process that
 * wrote them; the alarm machine moves them when another process starts.
 */
final class StateCodec {
    private static final int VERSION = 2;

    private StateCodec() {}

    static byte[] write(AlarmState state) {
        return CanonicalJson.object(json -> {
            json.writeNumberField("v", VERSION);
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
            json.writeBooleanField("confirmed", state.confirmed());
            json.writeBooleanField("latched", state.latched());
            json.writeObjectFieldStart("shelving");
            text(json, "kind", state.shelving().kind().name());
            json.writeNumberField("until", state.shelving().until());
            json.writeNumberField("untilWall", state.shelving().untilWallMillis());
            actor(json, "by", state.shelving().by());
            text(json, "reason", state.shelving().reason());
            json.writeEndObject();
            json.writeObjectFieldStart("suppression");
            json.writeBooleanField("logic", state.suppression().logic());
            json.writeBooleanField("overruled", state.suppression().overruled());
            actor(json, "by", state.suppression().by());
            text(json, "reason", state.suppression().reason());
            json.writeEndObject();
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
            json.writeFieldName("pending");
            Pending pending = state.pending();
            if (pending == null) {
                json.writeNull();
            } else {
                json.writeStartObject();
                text(json, "change", pending.change().name());
                json.writeNumberField("since", pending.since());
                json.writeNumberField("samples", pending.samples());
                text(json, "priority", pending.priority().name());
                text(json, "evidence", pending.evidence());
                json.writeEndObject();
            }
            json.writeNumberField("reAlarmAt", state.reAlarmAt());
            json.writeNumberField("reAlarms", state.reAlarms());
            text(json, "lastEvent", state.lastEvent());
            text(json, "acknowledgedEvent", state.acknowledgedEvent());
            text(json, "confirmedEvent", state.confirmedEvent());
            moment(json, "activeSince", state.activeSince());
        });
    }

    /**
     * @throws UnreadableRowException if the bytes are no known version.
     */
    static AlarmState read(byte[] bytes) {
        JsonNode json = parse(bytes);
        long version = number(json, "v");
        if (version != 1 && version != VERSION) {
            throw new UnreadableRowException("unknown version of an alarm's memories: " + version);
        }
        boolean first = version == 1; // nobody confirmed, and nobody outside suppressed
        JsonNode condition = field(json, "condition");
        JsonNode activeSince = field(json, "activeSince");
        return new AlarmState(
                new AlarmId(text(json, "asset"), text(json, "rule")),
                truth(json, "enabled"),
                condition.isNull() ? null : condition.booleanValue(),
                truth(json, "active"),
                truth(json, "acknowledged"),
                first || truth(json, "confirmed"),
                truth(json, "latched"),
                shelving(field(json, "shelving")),
                first
                        ? new Suppression(truth(json, "suppressed"), false, null, "")
                        : suppression(field(json, "suppression")),
                outOfService(field(json, "outOfService")),
                number(json, "occurrence"),
                name(json, "priority", Priority.class),
                name(json, "quality", Quality.class),
                pending(field(json, "pending")),
                number(json, "reAlarmAt"),
                Math.toIntExact(number(json, "reAlarms")),
                text(json, "lastEvent"),
                text(json, "acknowledgedEvent"),
                first ? "" : text(json, "confirmedEvent"),
                activeSince.isNull() ? null : moment(json, "activeSince"));
    }

    private static Shelving shelving(JsonNode json) {
        return new Shelving(
                name(json, "kind", Shelving.Kind.class),
                number(json, "until"),
                number(json, "untilWall"),
                actor(json, "by"),
                text(json, "reason"));
    }

    private static Suppression suppression(JsonNode json) {
        return new Suppression(truth(json, "logic"), truth(json, "overruled"), actor(json, "by"), text(json, "reason"));
    }

    private static @Nullable Pending pending(JsonNode json) {
        if (json.isNull()) {
            return null;
        }
        return new Pending(
                name(json, "change", Pending.Change.class),
                number(json, "since"),
                Math.toIntExact(number(json, "samples")),
                name(json, "priority", Priority.class),
                text(json, "evidence"));
    }

    private static @Nullable OutOfService outOfService(JsonNode json) {
        if (json.isNull()) {
            return null;
        }
        Actor by = actor(json, "by");
        if (by == null) {
            throw new UnreadableRowException("out of service by nobody");
        }
        return new OutOfService(
                by, text(json, "reason"), text(json, "permit"), number(json, "until"), number(json, "untilWall"));
    }
}
