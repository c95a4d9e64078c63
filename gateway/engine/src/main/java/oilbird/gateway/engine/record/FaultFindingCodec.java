package oilbird.gateway.engine.record;

import static oilbird.gateway.engine.record.CanonicalJson.actor;
import static oilbird.gateway.engine.record.CanonicalJson.decimal;
import static oilbird.gateway.engine.record.CanonicalJson.field;
import static oilbird.gateway.engine.record.CanonicalJson.moment;
import static oilbird.gateway.engine.record.CanonicalJson.name;
import static oilbird.gateway.engine.record.CanonicalJson.number;
import static oilbird.gateway.engine.record.CanonicalJson.text;
import static oilbird.gateway.engine.record.CanonicalJson.texts;
import static oilbird.gateway.engine.record.CanonicalJson.truth;

import com.fasterxml.jackson.core.JsonGenerator;
import com.fasterxml.jackson.databind.JsonNode;
import java.io.IOException;
import java.time.Duration;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.check.Assessment;
import oilbird.alarm.check.GuidedEvent;
import oilbird.alarm.check.GuidedEvent.Consequence;
import oilbird.alarm.check.GuidedInput;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Inference;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.DeviceSeen;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Verdict;
import oilbird.mapping.signal.Work;
import org.jspecify.annotations.Nullable;

/** The stored form of what happened in a guided fault-finding. */
final class FaultFindingCodec {
    private FaultFindingCodec() {}

    static void write(JsonGenerator json, StationEvent.FaultFinding event) throws IOException {
        GuidedInput input = event.of().input();
        text(json, "session", event.session());
        json.writeNumberField("version", event.of().version());
        text(json, "what", GuidedInput.kind(input));
        text(json, "key", input.entry().key());
        actor(json, "by", input.entry().who());
        json.writeNumberField("seenVersion", input.entry().seen());
        json.writeFieldName("doneAt");
        Long doneAt = input.entry().doneAt();
        if (doneAt == null) {
            json.writeNull();
        } else {
            json.writeNumber(doneAt);
        }
        json.writeObjectFieldStart("said");
        text(json, "about", event.said().about());
        text(json, "found", event.said().found());
        text(json, "means", event.said().means());
        json.writeEndObject();
        json.writeObjectFieldStart("input");
        write(json, input);
        json.writeEndObject();
        json.writeArrayFieldStart("consequences");
        for (Consequence each : event.of().consequences()) {
            json.writeStartObject();
            write(json, each);
            json.writeEndObject();
        }
        json.writeEndArray();
        json.writeArrayFieldStart("devices");
        for (DeviceSeen each : event.seen()) {
            json.writeStartObject();
            write(json, each);
            json.writeEndObject();
        }
        json.writeEndArray();
    }

    static StationEvent.FaultFinding faultFinding1(EventId id, JsonNode json) {
        Actor by = actor(json, "by");
        if (by == null) {
            throw new UnreadableRowException("nobody said it");
        }
        GuidedInput.Entry entry = new GuidedInput.Entry(
                text(json, "key"),
                by,
                moment(json, "at"),
                number(json, "seenVersion"),
                field(json, "doneAt").isNull() ? null : (Long) number(json, "doneAt"));
        List<Consequence> consequences = new ArrayList<>();
        field(json, "consequences").forEach(c -> consequences.add(consequence(c)));
        List<DeviceSeen> seen = new ArrayList<>();
        field(json, "devices").forEach(d -> seen.add(device(d)));
        JsonNode said = field(json, "said");
        return new StationEvent.FaultFinding(
                id,
                text(json, "session"),
                new GuidedEvent(
                        number(json, "version"), input(text(json, "what"), entry, field(json, "input")), consequences),
                new StationEvent.FaultFinding.Said(text(said, "about"), text(said, "found"), text(said, "means")),
                seen);
    }

    // ---- inputs

    private static void write(JsonGenerator json, GuidedInput input) throws IOException {
        if (input instanceof GuidedInput.Begun begun) {
            write(json, begun.assessment());
        } else if (input instanceof GuidedInput.Reassessed reassessed) {
            write(json, reassessed.assessment());
        } else if (input instanceof GuidedInput.SecondPerson second) {
            text(json, "name", second.name());
        } else if (input instanceof GuidedInput.Authorised authorised) {
            text(json, "check", authorised.check());
            text(json, "by", authorised.by());
        } else if (input instanceof GuidedInput.ControlRoomTold told) {
            json.writeBooleanField("before", told.before());
            text(json, "whom", told.whom());
        } else if (input instanceof GuidedInput.WordsSaved saved) {
            text(json, "where", saved.where());
        } else if (input instanceof GuidedInput.Prepared prepared) {
            text(json, "check", prepared.check());
            text(json, "preparation", prepared.preparation().name());
        } else if (input instanceof GuidedInput.Answered answered) {
            text(json, "check", answered.check());
            json.writeNumberField("outcome", answered.outcome());
            text(json, "note", answered.note());
        } else if (input instanceof GuidedInput.Measured measured) {
            text(json, "check", measured.check());
            text(json, "written", measured.written());
            json.writeBooleanField("testerProvedBefore", measured.testerProvedBefore());
            json.writeBooleanField("testerProvedAfter", measured.testerProvedAfter());
            text(json, "note", measured.note());
        } else if (input instanceof GuidedInput.Repaired repaired) {
            text(json, "cause", repaired.cause());
            text(json, "check", repaired.check());
            text(json, "note", repaired.note());
        } else if (input instanceof GuidedInput.Watched watched) {
            DiagnosisCodec.signs(json, "holding", watched.holding());
            DiagnosisCodec.signs(json, "untellable", watched.untellable());
            json.writeNumberField("analyses", watched.analyses());
            json.writeObjectFieldStart("readings");
            for (Map.Entry<String, Double> each : watched.readings().entrySet()) {
                decimal(json, each.getKey(), each.getValue());
            }
            json.writeEndObject();
        } else if (input instanceof GuidedInput.HandedOver over) {
            text(json, "to", over.to());
            text(json, "why", over.why());
        } else if (input instanceof GuidedInput.GivenUp up) {
            text(json, "why", up.why());
        }
    }

    private static GuidedInput input(String kind, GuidedInput.Entry entry, JsonNode json) {
        return switch (kind) {
            case "begun" -> new GuidedInput.Begun(entry, assessment(json));
            case "reassessed" -> new GuidedInput.Reassessed(entry, assessment(json));
            case "joined" -> new GuidedInput.Joined(entry);
            case "left" -> new GuidedInput.Left(entry);
            case "second-person" -> new GuidedInput.SecondPerson(entry, text(json, "name"));
            case "authorised" -> new GuidedInput.Authorised(entry, text(json, "check"), text(json, "by"));
            case "control-room-told" ->
                new GuidedInput.ControlRoomTold(entry, truth(json, "before"), text(json, "whom"));
            case "words-saved" -> new GuidedInput.WordsSaved(entry, text(json, "where"));
            case "prepared" ->
                new GuidedInput.Prepared(entry, text(json, "check"), name(json, "preparation", Work.Preparation.class));
            case "answered" ->
                new GuidedInput.Answered(entry, text(json, "check"), (int) number(json, "outcome"), text(json, "note"));
            case "measured" ->
                new GuidedInput.Measured(
                        entry,
                        text(json, "check"),
                        text(json, "written"),
                        truth(json, "testerProvedBefore"),
                        truth(json, "testerProvedAfter"),
                        text(json, "note"));
            case "repaired" ->
                new GuidedInput.Repaired(entry, text(json, "cause"), textOrNull(json, "check"), text(json, "note"));
            case "watched" -> {
                Map<String, Double> readings = new LinkedHashMap<>();
                field(json, "readings")
                        .fields()
                        .forEachRemaining(
                                e -> readings.put(e.getKey(), e.getValue().doubleValue()));
                yield new GuidedInput.Watched(
                        entry,
                        DiagnosisCodec.signs(json, "holding"),
                        DiagnosisCodec.signs(json, "untellable"),
                        (int) number(json, "analyses"),
                        readings);
            }
            case "handed-over" -> new GuidedInput.HandedOver(entry, text(json, "to"), text(json, "why"));
            case "given-up" -> new GuidedInput.GivenUp(entry, text(json, "why"));
            default -> throw new UnreadableRowException("unknown input of a fault-finding: " + kind);
        };
    }

    private static @Nullable String textOrNull(JsonNode json, String field) {
        return field(json, field).isNull() ? null : text(json, field);
    }

    private static void write(JsonGenerator json, Assessment assessment) throws IOException {
        text(json, "diagnosis", assessment.diagnosis());
        text(json, "subject", assessment.subject());
        texts(json, "assets", assessment.assets());
        Inference of = assessment.inference();
        text(json, "window", of.window().toString());
        text(json, "method", of.method().name());
        decimal(json, "error", of.error());
        decimal(json, "evidence", of.evidence());
        json.writeArrayFieldStart("causes");
        for (Inference.CauseTerm cause : of.causes()) {
            json.writeStartObject();
            text(json, "cause", cause.cause());
            decimal(json, "perYear", cause.perYear());
            text(json, "origin", cause.origin());
            decimal(json, "prior", cause.prior());
            decimal(json, "support", cause.support());
            decimal(json, "absent", cause.absent());
            decimal(json, "posterior", cause.posterior());
            json.writeArrayFieldStart("links");
            for (Inference.Link link : cause.links()) {
                json.writeStartObject();
                DiagnosisCodec.sign(json, link.sign());
                decimal(json, "probability", link.probability());
                text(json, "within", link.within().toString());
                text(json, "lasts", link.lasts() == null ? null : link.lasts().toString());
                text(json, "told", link.told().name());
                json.writeBooleanField("counted", link.counted());
                json.writeEndObject();
            }
            json.writeEndArray();
            json.writeEndObject();
        }
        json.writeEndArray();
        json.writeArrayFieldStart("signs");
        for (Inference.SignTerm sign : of.signs()) {
            json.writeStartObject();
            DiagnosisCodec.sign(json, sign.sign());
            decimal(json, "perYear", sign.perYear());
            text(json, "origin", sign.origin());
            decimal(json, "otherwise", sign.otherwise());
            decimal(json, "unlisted", sign.unlisted());
            json.writeEndObject();
        }
        json.writeEndArray();
    }

    private static Assessment assessment(JsonNode json) {
        List<Inference.CauseTerm> causes = new ArrayList<>();
        for (JsonNode cause : field(json, "causes")) {
            List<Inference.Link> links = new ArrayList<>();
            for (JsonNode link : field(cause, "links")) {
                links.add(new Inference.Link(
                        DiagnosisCodec.sign(link),
                        decimal(link, "probability"),
                        duration(link, "within"),
                        field(link, "lasts").isNull() ? null : duration(link, "lasts"),
                        name(link, "told", Diagnosis.Told.class),
                        truth(link, "counted")));
            }
            causes.add(new Inference.CauseTerm(
                    text(cause, "cause"),
                    decimal(cause, "perYear"),
                    text(cause, "origin"),
                    decimal(cause, "prior"),
                    decimal(cause, "support"),
                    decimal(cause, "absent"),
                    decimal(cause, "posterior"),
                    links));
        }
        List<Inference.SignTerm> signs = new ArrayList<>();
        for (JsonNode sign : field(json, "signs")) {
            signs.add(new Inference.SignTerm(
                    DiagnosisCodec.sign(sign),
                    decimal(sign, "perYear"),
                    text(sign, "origin"),
                    decimal(sign, "otherwise"),
                    decimal(sign, "unlisted")));
        }
        return new Assessment(
                text(json, "diagnosis"),
                text(json, "subject"),
                texts(json, "assets"),
                new Inference(
                        duration(json, "window"),
                        causes,
                        signs,
                        decimal(json, "evidence"),
                        name(json, "method", Inference.Method.class),
                        decimal(json, "error")));
    }

    private static Duration duration(JsonNode json, String field) {
        try {
            return Duration.parse(text(json, field));
        } catch (DateTimeParseException e) {
            throw new UnreadableRowException("field " + field + " is no duration");
        }
    }

    // ---- consequences

    private static void write(JsonGenerator json, Consequence consequence) throws IOException {
        if (consequence instanceof GuidedEvent.Judged judged) {
            text(json, "follows", "judged");
            decimal(json, "value", judged.value());
            text(json, "unit", judged.unit());
            text(json, "verdict", judged.verdict().name());
            text(json, "accepted", judged.accepted());
            json.writeNumberField("outcome", judged.outcome());
        } else if (consequence instanceof GuidedEvent.CauseFound found) {
            text(json, "follows", "cause-found");
            text(json, "cause", found.cause());
            decimal(json, "posterior", found.posterior());
            json.writeBooleanField("provedByCheck", found.provedByCheck());
        } else if (consequence instanceof GuidedEvent.CauseInDoubt doubt) {
            text(json, "follows", "cause-in-doubt");
            text(json, "cause", doubt.cause());
            text(json, "why", doubt.why());
        } else if (consequence instanceof GuidedEvent.WatchBegun begun) {
            text(json, "follows", "watch-begun");
            text(json, "cause", begun.cause());
        } else if (consequence instanceof GuidedEvent.RepairInVain vain) {
            text(json, "follows", "repair-in-vain");
            text(json, "cause", vain.cause());
            text(json, "why", vain.why());
        } else if (consequence instanceof GuidedEvent.ProvedGone gone) {
            text(json, "follows", "proved-gone");
            text(json, "cause", gone.cause());
        } else {
            throw new IllegalArgumentException("no stored form for " + consequence.getClass());
        }
    }

    private static Consequence consequence(JsonNode json) {
        String follows = text(json, "follows");
        return switch (follows) {
            case "judged" ->
                new GuidedEvent.Judged(
                        decimal(json, "value"),
                        text(json, "unit"),
                        name(json, "verdict", Verdict.class),
                        text(json, "accepted"),
                        (int) number(json, "outcome"));
            case "cause-found" ->
                new GuidedEvent.CauseFound(
                        text(json, "cause"), decimal(json, "posterior"), truth(json, "provedByCheck"));
            case "cause-in-doubt" -> new GuidedEvent.CauseInDoubt(text(json, "cause"), text(json, "why"));
            case "watch-begun" -> new GuidedEvent.WatchBegun(text(json, "cause"));
            case "repair-in-vain" -> new GuidedEvent.RepairInVain(text(json, "cause"), text(json, "why"));
            case "proved-gone" -> new GuidedEvent.ProvedGone(text(json, "cause"));
            default -> throw new UnreadableRowException("unknown consequence in a fault-finding: " + follows);
        };
    }

    // ---- what the gateway had of the devices

    private static void write(JsonGenerator json, DeviceSeen seen) throws IOException {
        text(json, "device", seen.device());
        json.writeBooleanField("lost", seen.lost());
        json.writeArrayFieldStart("answers");
        for (DeviceSeen.Answer answer : seen.answers()) {
            json.writeStartObject();
            text(json, "block", answer.block());
            text(json, "text", answer.text());
            moment(json, "at", answer.at());
            json.writeEndObject();
        }
        json.writeEndArray();
        json.writeArrayFieldStart("words");
        for (DeviceSeen.Word word : seen.words()) {
            json.writeStartObject();
            text(json, "word", word.word());
            text(json, "bits", Long.toHexString(word.bits()));
            json.writeNumberField("width", word.width());
            moment(json, "at", word.at());
            json.writeEndObject();
        }
        json.writeEndArray();
        texts(json, "holding", seen.holding());
        json.writeArrayFieldStart("readings");
        for (DeviceSeen.Value value : seen.readings()) {
            json.writeStartObject();
            text(json, "point", value.point());
            Double number = value.number();
            if (number == null) {
                json.writeNullField("number");
            } else {
                decimal(json, "number", number);
            }
            text(json, "text", value.text());
            text(json, "quality", value.quality().name());
            moment(json, "at", value.at());
            json.writeEndObject();
        }
        json.writeEndArray();
    }

    private static DeviceSeen device(JsonNode json) {
        List<DeviceSeen.Answer> answers = new ArrayList<>();
        for (JsonNode answer : field(json, "answers")) {
            answers.add(new DeviceSeen.Answer(text(answer, "block"), text(answer, "text"), moment(answer, "at")));
        }
        List<DeviceSeen.Word> words = new ArrayList<>();
        for (JsonNode word : field(json, "words")) {
            words.add(new DeviceSeen.Word(
                    text(word, "word"), bits(word), (int) number(word, "width"), moment(word, "at")));
        }
        List<DeviceSeen.Value> readings = new ArrayList<>();
        for (JsonNode value : field(json, "readings")) {
            Moment at = moment(value, "at");
            readings.add(new DeviceSeen.Value(
                    text(value, "point"),
                    field(value, "number").isNull() ? null : (Double) decimal(value, "number"),
                    textOrNull(value, "text"),
                    name(value, "quality", QualityReason.class),
                    at));
        }
        return new DeviceSeen(
                text(json, "device"), truth(json, "lost"), answers, words, texts(json, "holding"), readings);
    }

    private static long bits(JsonNode word) {
        try {
            return Long.parseUnsignedLong(text(word, "bits"), 16);
        } catch (NumberFormatException e) {
            throw new UnreadableRowException("field bits is no hexadecimal number");
        }
    }
}
