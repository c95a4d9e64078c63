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
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.Priority;
import oilbird.alarm.station.Standing;

/**
 * The stored form of maintenance, point tests, released connections, keep-away and open diagnoses; deadlines as they
 * are, like those of alarms.
 */
final class StandingCodec {
    private static final int VERSION = 1;

    private StandingCodec() {}

    static byte[] write(Standing standing) {
        return CanonicalJson.object(json -> {
            json.writeNumberField("v", VERSION);
            json.writeArrayFieldStart("maintenance");
            for (Standing.Maintenance each : standing.maintenance()) {
                write(json, each);
            }
            json.writeEndArray();
            json.writeArrayFieldStart("alarmTests");
            for (Standing.AlarmTest test : standing.alarmTests()) {
                json.writeStartObject();
                alarm(json, test.alarm());
                json.writeBooleanField("forced", test.forced());
                actor(json, "by", test.by());
                json.writeNumberField("until", test.until());
                json.writeNumberField("untilWall", test.untilWallMillis());
                json.writeEndObject();
            }
            json.writeEndArray();
            json.writeArrayFieldStart("readingTests");
            for (Standing.ReadingTest test : standing.readingTests()) {
                json.writeStartObject();
                signal(json, "reading", test.reading());
                json.writeNumberField("forced", test.forced());
                actor(json, "by", test.by());
                json.writeNumberField("until", test.until());
                json.writeNumberField("untilWall", test.untilWallMillis());
                json.writeEndObject();
            }
            json.writeEndArray();
            json.writeArrayFieldStart("releases");
            for (Standing.Release release : standing.releases()) {
                json.writeStartObject();
                text(json, "of", release.of());
                json.writeArrayFieldStart("devices");
                for (String device : release.devices()) {
                    json.writeString(device);
                }
                json.writeEndArray();
                actor(json, "by", release.by());
                text(json, "reason", release.reason());
                moment(json, "since", release.since());
                json.writeNumberField("until", release.until());
                json.writeNumberField("untilWall", release.untilWallMillis());
                json.writeEndObject();
            }
            json.writeEndArray();
            DiagnosisCodec.write(json, standing);
        });
    }

    private static void write(JsonGenerator json, Standing.Maintenance each) throws IOException {
        json.writeStartObject();
        text(json, "of", each.of());
        actor(json, "by", each.by());
        text(json, "reason", each.reason());
        text(json, "permit", each.permit());
        moment(json, "since", each.since());
        json.writeNumberField("until", each.until());
        json.writeNumberField("untilWall", each.untilWallMillis());
        json.writeBooleanField("reminded", each.reminded());
        json.writeArrayFieldStart("taken");
        for (AlarmId alarm : each.taken()) {
            json.writeStartObject();
            alarm(json, alarm);
            json.writeEndObject();
        }
        json.writeEndArray();
        json.writeArrayFieldStart("before");
        for (Standing.Before before : each.before()) {
            json.writeStartObject();
            signal(json, "reading", before.reading());
            json.writeNumberField("number", before.number());
            json.writeEndObject();
        }
        json.writeEndArray();
        json.writeArrayFieldStart("found");
        for (Standing.Found found : each.found()) {
            json.writeStartObject();
            alarm(json, found.alarm());
            json.writeBooleanField("active", found.memories().active());
            json.writeBooleanField("acknowledged", found.memories().acknowledged());
            json.writeBooleanField("confirmed", found.memories().confirmed());
            json.writeBooleanField("latched", found.memories().latched());
            text(json, "priority", found.memories().priority().name());
            json.writeEndObject();
        }
        json.writeEndArray();
        json.writeEndObject();
    }

    private static void alarm(JsonGenerator json, AlarmId alarm) throws IOException {
        text(json, "asset", alarm.asset());
        text(json, "rule", alarm.rule());
    }

    /**
     * @throws UnreadableRowException if the bytes are no known version.
     */
    static Standing read(byte[] bytes) {
        JsonNode json = parse(bytes);
        if (number(json, "v") != VERSION) {
            throw new UnreadableRowException("unknown version " + number(json, "v"));
        }
        List<Standing.Maintenance> maintenance = new ArrayList<>();
        for (JsonNode each : field(json, "maintenance")) {
            maintenance.add(maintenance(each));
        }
        List<Standing.AlarmTest> alarmTests = new ArrayList<>();
        for (JsonNode test : field(json, "alarmTests")) {
            alarmTests.add(new Standing.AlarmTest(
                    alarm(test), truth(test, "forced"), by(test), number(test, "until"), number(test, "untilWall")));
        }
        List<Standing.ReadingTest> readingTests = new ArrayList<>();
        for (JsonNode test : field(json, "readingTests")) {
            readingTests.add(new Standing.ReadingTest(
                    signal(test, "reading"),
                    field(test, "forced").doubleValue(),
                    by(test),
                    number(test, "until"),
                    number(test, "untilWall")));
        }
        List<Standing.Release> releases = new ArrayList<>();
        // Rows of before there were any have no such field.
        for (JsonNode release : json.path("releases")) {
            List<String> devices = new ArrayList<>();
            field(release, "devices").forEach(d -> devices.add(d.textValue()));
            releases.add(new Standing.Release(
                    text(release, "of"),
                    devices,
                    by(release),
                    text(release, "reason"),
                    moment(release, "since"),
                    number(release, "until"),
                    number(release, "untilWall")));
        }
        return new Standing(
                maintenance,
                alarmTests,
                readingTests,
                DiagnosisCodec.keepAways(json),
                DiagnosisCodec.diagnoses(json),
                releases);
    }

    private static Standing.Maintenance maintenance(JsonNode json) {
        List<AlarmId> taken = new ArrayList<>();
        field(json, "taken").forEach(t -> taken.add(alarm(t)));
        List<Standing.Before> before = new ArrayList<>();
        field(json, "before")
                .forEach(b -> before.add(new Standing.Before(
                        signal(b, "reading"), field(b, "number").doubleValue())));
        return new Standing.Maintenance(
                text(json, "of"),
                by(json),
                text(json, "reason"),
                text(json, "permit"),
                moment(json, "since"),
                number(json, "until"),
                number(json, "untilWall"),
                truth(json, "reminded"),
                taken,
                before,
                found(json, taken));
    }

    private static List<Standing.Found> found(JsonNode json, List<AlarmId> taken) {
        JsonNode written = json.get("found");
        if (written == null) {
            // A row of before it was kept: nobody knows what the maintenance made, so nothing of it is void.
            AlarmInput.Before unknown = new AlarmInput.Before(true, true, true, Priority.CRITICAL);
            return taken.stream().map(a -> new Standing.Found(a, unknown)).toList();
        }
        List<Standing.Found> found = new ArrayList<>();
        for (JsonNode each : written) {
            found.add(new Standing.Found(
                    alarm(each),
                    new AlarmInput.Before(
                            truth(each, "active"),
                            truth(each, "acknowledged"),
                            !each.has("confirmed") || truth(each, "confirmed"),
                            truth(each, "latched"),
                            name(each, "priority", Priority.class))));
        }
        return found;
    }

    private static AlarmId alarm(JsonNode json) {
        return new AlarmId(text(json, "asset"), text(json, "rule"));
    }

    private static Actor by(JsonNode json) {
        Actor by = actor(json, "by");
        if (by == null) {
            throw new UnreadableRowException("nobody is named");
        }
        return by;
    }
}
