package oilbird.gateway.engine.record;

import static oilbird.gateway.engine.record.CanonicalJson.actor;
import static oilbird.gateway.engine.record.CanonicalJson.field;
import static oilbird.gateway.engine.record.CanonicalJson.moment;
import static oilbird.gateway.engine.record.CanonicalJson.name;
import static oilbird.gateway.engine.record.CanonicalJson.number;
import static oilbird.gateway.engine.record.CanonicalJson.parse;
import static oilbird.gateway.engine.record.CanonicalJson.signal;
import static oilbird.gateway.engine.record.CanonicalJson.text;
import static oilbird.gateway.engine.record.CanonicalJson.truth;

import com.fasterxml.jackson.core.JsonGenerator;
import com.fasterxml.jackson.databind.JsonNode;
import java.io.IOException;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.state.StateName;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.mapping.signal.Quality;

/**
 * The stored form of events. Each kind has a version of its own; a new version is written by the newest program and
 * every earlier one is read, brought up to the newest on the way.
 */
final class EventCodec {
    private static final String ALARM = "alarm";
    private static final int ALARM_VERSION = 2;
    private static final String NOTICE = "notice";
    private static final int NOTICE_VERSION = 1;
    private static final String DIAGNOSED = "diagnosed";
    private static final int DIAGNOSED_VERSION = 1;
    private static final String KEPT_AWAY = "kept-away";
    private static final int KEPT_AWAY_VERSION = 1;
    private static final String ACCESSED = "accessed";
    private static final int ACCESSED_VERSION = 1;
    private static final String FAULT_FINDING = "fault-finding";
    private static final int FAULT_FINDING_VERSION = 1;

    private EventCodec() {}

    static byte[] write(StationEvent event) {
        if (event instanceof StationEvent.OfAlarm ofAlarm) {
            return CanonicalJson.object(json -> write(json, ofAlarm));
        }
        if (event instanceof StationEvent.Notice notice) {
            return CanonicalJson.object(json -> write(json, notice));
        }
        if (event instanceof StationEvent.Diagnosed diagnosed) {
            return CanonicalJson.object(json -> {
                head(json, DIAGNOSED, DIAGNOSED_VERSION, diagnosed);
                DiagnosisCodec.write(json, diagnosed);
            });
        }
        if (event instanceof StationEvent.KeptAway keptAway) {
            return CanonicalJson.object(json -> {
                head(json, KEPT_AWAY, KEPT_AWAY_VERSION, keptAway);
                DiagnosisCodec.write(json, keptAway);
            });
        }
        if (event instanceof StationEvent.Accessed accessed) {
            return CanonicalJson.object(json -> write(json, accessed));
        }
        if (event instanceof StationEvent.FaultFinding finding) {
            return CanonicalJson.object(json -> {
                head(json, FAULT_FINDING, FAULT_FINDING_VERSION, finding);
                FaultFindingCodec.write(json, finding);
            });
        }
        throw new IllegalArgumentException("no stored form for " + event.getClass());
    }

    private static void write(JsonGenerator json, StationEvent.OfAlarm ofAlarm) throws IOException {
        AlarmEvent event = ofAlarm.event();
        head(json, ALARM, ALARM_VERSION, ofAlarm);
        text(json, "asset", event.alarm().asset());
        text(json, "rule", event.alarm().rule());
        json.writeNumberField("occurrence", event.occurrence());
        text(json, "what", event.kind().name());
        text(json, "after", event.after().name());
        json.writeBooleanField("active", event.active());
        json.writeBooleanField("acknowledged", event.acknowledged());
        json.writeBooleanField("confirmed", event.confirmed());
        json.writeBooleanField("latched", event.latched());
        json.writeBooleanField("enabled", event.enabled());
        text(json, "shelving", event.shelving().name());
        json.writeNumberField("shelvedNanos", event.shelvedFor().toNanos());
        json.writeBooleanField("suppressed", event.suppressedByDesign());
        json.writeBooleanField("outOfService", event.outOfService());
        json.writeNumberField("reAlarms", event.reAlarms());
        text(json, "annunciate", event.annunciate().name());
        text(json, "priority", event.priority().name());
        text(json, "quality", event.quality().name());
        actor(json, "by", event.by());
        text(json, "text", event.text());
        json.writeArrayFieldStart("doubted");
        for (StationEvent.Doubt doubt : ofAlarm.doubted()) {
            json.writeStartObject();
            signal(json, "reading", doubt.reading());
            signal(json, "because", doubt.because());
            json.writeBooleanField("worthless", doubt.worthless());
            json.writeEndObject();
        }
        json.writeEndArray();
    }

    private static void write(JsonGenerator json, StationEvent.Notice notice) throws IOException {
        head(json, NOTICE, NOTICE_VERSION, notice);
        text(json, "what", notice.kind().name());
        signal(json, "subject", notice.subject());
        text(json, "text", notice.text());
    }

    private static void write(JsonGenerator json, StationEvent.Accessed accessed) throws IOException {
        head(json, ACCESSED, ACCESSED_VERSION, accessed);
        text(json, "what", accessed.kind().name());
        text(json, "about", accessed.about());
        actor(json, "by", accessed.by());
        text(json, "address", accessed.address());
        text(json, "text", accessed.text());
        json.writeNumberField("times", accessed.times());
    }

    private static void head(JsonGenerator json, String kind, int version, StationEvent event) throws IOException {
        text(json, "kind", kind);
        json.writeNumberField("v", version);
        text(json, "id", event.id().toString());
        moment(json, "at", event.at());
    }

    /**
     * @throws UnreadableRowException if the bytes are none of the known kinds and versions.
     */
    static StationEvent read(byte[] bytes) {
        JsonNode json = parse(bytes);
        String kind = text(json, "kind");
        long version = number(json, "v");
        if (kind.equals(ALARM) && (version == 1 || version == ALARM_VERSION)) {
            return alarm(json, version == 1);
        }
        if (kind.equals(NOTICE) && version == 1) {
            return notice1(json);
        }
        if (kind.equals(DIAGNOSED) && version == 1) {
            return DiagnosisCodec.diagnosed1(id(json), json);
        }
        if (kind.equals(KEPT_AWAY) && version == 1) {
            return DiagnosisCodec.keptAway1(id(json), json);
        }
        if (kind.equals(ACCESSED) && version == 1) {
            return accessed1(json);
        }
        if (kind.equals(FAULT_FINDING) && version == 1) {
            return FaultFindingCodec.faultFinding1(id(json), json);
        }
        throw new UnreadableRowException("unknown kind and version of event: " + kind + " " + version);
    }

    /**
     * @param first version 1, which had no confirmation, and of the layers nothing but the state's name.
     */
    private static StationEvent alarm(JsonNode json, boolean first) {
        List<StationEvent.Doubt> doubted = new ArrayList<>();
        for (JsonNode doubt : field(json, "doubted")) {
            doubted.add(new StationEvent.Doubt(
                    signal(doubt, "reading"), signal(doubt, "because"), truth(doubt, "worthless")));
        }
        StateName after = name(json, "after", StateName.class);
        return new StationEvent.OfAlarm(
                id(json),
                new AlarmEvent(
                        new AlarmId(text(json, "asset"), text(json, "rule")),
                        number(json, "occurrence"),
                        name(json, "what", AlarmEvent.Kind.class),
                        after,
                        truth(json, "active"),
                        truth(json, "acknowledged"),
                        first || truth(json, "confirmed"),
                        truth(json, "latched"),
                        first ? after != StateName.DISABLED : truth(json, "enabled"),
                        first ? shelving(after) : name(json, "shelving", Shelving.Kind.class),
                        first ? shelvedFor(after) : Duration.ofNanos(number(json, "shelvedNanos")),
                        first ? after == StateName.DSUPR : truth(json, "suppressed"),
                        first ? after == StateName.OOSRV : truth(json, "outOfService"),
                        first ? 0 : Math.toIntExact(number(json, "reAlarms")),
                        name(json, "annunciate", AlarmEvent.Annunciation.class),
                        name(json, "priority", Priority.class),
                        name(json, "quality", Quality.class),
                        actor(json, "by"),
                        text(json, "text"),
                        moment(json, "at")),
                doubted);
    }

    /** Of which kind the shelving of an event of the first version was is not known; a timed one has no state of its own. */
    private static Shelving.Kind shelving(StateName after) {
        return after == StateName.SHLVD ? Shelving.Kind.TIMED : Shelving.Kind.NONE;
    }

    private static Duration shelvedFor(StateName after) {
        return after == StateName.SHLVD ? AlarmEvent.NO_LIMIT : Duration.ZERO;
    }

    private static StationEvent notice1(JsonNode json) {
        return new StationEvent.Notice(
                id(json),
                name(json, "what", StationEvent.Notice.Kind.class),
                signal(json, "subject"),
                text(json, "text"),
                moment(json, "at"));
    }

    private static StationEvent accessed1(JsonNode json) {
        Actor by = actor(json, "by");
        if (by == null) {
            throw new UnreadableRowException("an event of access names nobody");
        }
        return new StationEvent.Accessed(
                id(json),
                name(json, "what", StationEvent.Accessed.Kind.class),
                text(json, "about"),
                by,
                text(json, "address"),
                text(json, "text"),
                number(json, "times"),
                moment(json, "at"));
    }

    private static EventId id(JsonNode json) {
        try {
            return EventId.parse(text(json, "id"));
        } catch (IllegalArgumentException e) {
            throw new UnreadableRowException(String.valueOf(e.getMessage()));
        }
    }
}
