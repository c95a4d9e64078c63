package oilbird.gateway.engine.record;

import static oilbird.gateway.engine.record.CanonicalJson.actor;
import static oilbird.gateway.engine.record.CanonicalJson.field;
import static oilbird.gateway.engine.record.CanonicalJson.moment;
import static oilbird.gateway.engine.record.CanonicalJson.name;
import static oilbird.gateway.engine.record.CanonicalJson.number;
import static oilbird.gateway.engine.record.CanonicalJson.signal;
import static oilbird.gateway.engine.record.CanonicalJson.text;
import static oilbird.gateway.engine.record.CanonicalJson.texts;
import static oilbird.gateway.engine.record.CanonicalJson.truth;

import com.fasterxml.jackson.core.JsonGenerator;
import com.fasterxml.jackson.databind.JsonNode;
import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;

/** The stored form of diagnoses and of keep-away, as far as events and standing orders have them. */
final class DiagnosisCodec {
    private DiagnosisCodec() {}

    // ---- events

    static void write(JsonGenerator json, StationEvent.Diagnosed event) throws IOException {
        text(json, "what", event.kind().name());
        text(json, "diagnosis", event.diagnosis());
        text(json, "subject", event.subject());
        texts(json, "assets", event.assets());
        moment(json, "since", event.since());
        json.writeArrayFieldStart("causes");
        for (StationEvent.Diagnosed.Likely cause : event.causes()) {
            json.writeStartObject();
            text(json, "cause", cause.cause());
            text(json, "says", cause.says());
            text(json, "trouble", cause.trouble().name());
            json.writeNumberField("millionths", cause.millionths());
            json.writeEndObject();
        }
        json.writeEndArray();
        signs(json, "signs", event.signs());
        signs(json, "orOneOf", event.orOneOf());
        signs(json, "unexplained", event.unexplained());
        alarms(json, "grouped", event.grouped());
        alarms(json, "apart", event.apart());
        json.writeBooleanField("keepAway", event.keepAway());
    }

    static StationEvent.Diagnosed diagnosed1(EventId id, JsonNode json) {
        List<StationEvent.Diagnosed.Likely> causes = new ArrayList<>();
        for (JsonNode cause : field(json, "causes")) {
            causes.add(new StationEvent.Diagnosed.Likely(
                    text(cause, "cause"),
                    text(cause, "says"),
                    name(cause, "trouble", Trouble.class),
                    Math.toIntExact(number(cause, "millionths"))));
        }
        return new StationEvent.Diagnosed(
                id,
                name(json, "what", StationEvent.Diagnosed.Kind.class),
                text(json, "diagnosis"),
                text(json, "subject"),
                texts(json, "assets"),
                moment(json, "since"),
                causes,
                signs(json, "signs"),
                signs(json, "orOneOf"),
                signs(json, "unexplained"),
                alarms(json, "grouped"),
                alarms(json, "apart"),
                truth(json, "keepAway"),
                moment(json, "at"));
    }

    static void write(JsonGenerator json, StationEvent.KeptAway event) throws IOException {
        text(json, "what", event.kind().name());
        text(json, "asset", event.asset());
        texts(json, "reasons", event.reasons());
        actor(json, "by", event.by());
        text(json, "text", event.text());
    }

    static StationEvent.KeptAway keptAway1(EventId id, JsonNode json) {
        return new StationEvent.KeptAway(
                id,
                name(json, "what", StationEvent.KeptAway.Kind.class),
                text(json, "asset"),
                texts(json, "reasons"),
                actor(json, "by"),
                text(json, "text"),
                moment(json, "at"));
    }

    // ---- what a new process goes on from

    static void write(JsonGenerator json, Standing standing) throws IOException {
        json.writeArrayFieldStart("keepAways");
        for (Standing.KeepAway each : standing.keepAways()) {
            json.writeStartObject();
            text(json, "asset", each.asset());
            moment(json, "since", each.since());
            texts(json, "reasons", each.reasons());
            actor(json, "releasedBy", each.releasedBy());
            json.writeEndObject();
        }
        json.writeEndArray();
        json.writeArrayFieldStart("diagnoses");
        for (Standing.OpenDiagnosis each : standing.diagnoses()) {
            json.writeStartObject();
            text(json, "id", each.id());
            text(json, "subject", each.subject());
            moment(json, "since", each.since());
            json.writeArrayFieldStart("signs");
            for (Standing.HeldSign held : each.signs()) {
                json.writeStartObject();
                sign(json, held.sign());
                moment(json, "since", held.since());
                json.writeEndObject();
            }
            json.writeEndArray();
            json.writeEndObject();
        }
        json.writeEndArray();
    }

    /** Empty where the standing orders were written before there were any. */
    static List<Standing.KeepAway> keepAways(JsonNode json) {
        List<Standing.KeepAway> keepAways = new ArrayList<>();
        for (JsonNode each : json.path("keepAways")) {
            keepAways.add(new Standing.KeepAway(
                    text(each, "asset"), moment(each, "since"), texts(each, "reasons"), actor(each, "releasedBy")));
        }
        return keepAways;
    }

    static List<Standing.OpenDiagnosis> diagnoses(JsonNode json) {
        List<Standing.OpenDiagnosis> diagnoses = new ArrayList<>();
        for (JsonNode each : json.path("diagnoses")) {
            List<Standing.HeldSign> signs = new ArrayList<>();
            for (JsonNode held : field(each, "signs")) {
                signs.add(new Standing.HeldSign(sign(held), moment(held, "since")));
            }
            diagnoses.add(
                    new Standing.OpenDiagnosis(text(each, "id"), text(each, "subject"), moment(each, "since"), signs));
        }
        return diagnoses;
    }

    // ---- parts

    static void sign(JsonGenerator json, Sign sign) throws IOException {
        if (sign.indication() != null) {
            signal(json, "indication", sign.indication());
        }
        AlarmId alarm = sign.alarm();
        if (alarm != null) {
            json.writeFieldName("alarm");
            alarm(json, alarm);
        }
    }

    static Sign sign(JsonNode json) {
        return json.has("indication") ? Sign.of(signal(json, "indication")) : Sign.of(alarm(field(json, "alarm")));
    }

    static void signs(JsonGenerator json, String field, List<Sign> signs) throws IOException {
        json.writeArrayFieldStart(field);
        for (Sign each : signs) {
            json.writeStartObject();
            sign(json, each);
            json.writeEndObject();
        }
        json.writeEndArray();
    }

    static List<Sign> signs(JsonNode json, String field) {
        List<Sign> signs = new ArrayList<>();
        field(json, field).forEach(each -> signs.add(sign(each)));
        return signs;
    }

    private static void alarm(JsonGenerator json, AlarmId alarm) throws IOException {
        json.writeStartObject();
        text(json, "asset", alarm.asset());
        text(json, "rule", alarm.rule());
        json.writeEndObject();
    }

    private static AlarmId alarm(JsonNode json) {
        return new AlarmId(text(json, "asset"), text(json, "rule"));
    }

    private static void alarms(JsonGenerator json, String field, List<AlarmId> alarms) throws IOException {
        json.writeArrayFieldStart(field);
        for (AlarmId each : alarms) {
            alarm(json, each);
        }
        json.writeEndArray();
    }

    private static List<AlarmId> alarms(JsonNode json, String field) {
        List<AlarmId> alarms = new ArrayList<>();
        field(json, field).forEach(each -> alarms.add(alarm(each)));
        return alarms;
    }
}
