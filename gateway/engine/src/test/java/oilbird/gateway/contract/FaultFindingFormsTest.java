package oilbird.gateway.contract;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.Statement;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.function.Consumer;
import java.util.stream.Stream;
import oilbird.alarm.check.GuidedInput;
import oilbird.alarm.check.GuidedSession;
import oilbird.alarm.check.Next;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationStep;
import oilbird.gateway.command.Commands;
import oilbird.gateway.engine.record.Commit;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.RecordVerifier;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.station.PolledDevice;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.address.Request;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.signal.Work;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What of guided fault-findings leaves the process, on the demo station with its own library and a real event record. */
class FaultFindingFormsTest {
    private static final ObjectMapper JSON = new ObjectMapper();
    private static final Actor ANN = new Actor("A. Ner", "page");

    @TempDir
    Path data;

    private final Schemas schemas = new Schemas();
    private final Station station =
            StationFolder.load(Path.of("../../deploy/demo-station")).result().orElseThrow();
    private final Forms forms = new Forms(station.model(), station.owner());
    private final Map<SignalId, Boolean> holding = new LinkedHashMap<>();
    private Moment now = new Moment(0, 1_795_576_325_000L, true);
    private final StationFold fold = StationFold.start(
            station.model(), List.of(), null, station.model().facts().gateway(), 7, now);
    private EventRecord record;
    private long position;
    private int keys;

    @BeforeEach
    void aStationWithAStoppedFan() throws Exception {
        record = EventRecord.open(data, now).record();
        take(fold.opening());
        rounds(4);
        holding.put(new SignalId("gas-t2", "cabinet-fan-stopped"), true);
        rounds(4);
    }

    @AfterEach
    void close() {
        record.close();
    }

    private void take(StationStep step) {
        List<RecordedEvent> events = new ArrayList<>();
        for (StationEvent event : step.events()) {
            position++;
            events.add(new RecordedEvent(position, event, true));
        }
        try {
            record.commit(
                    new Commit(events, step.changed(), List.of(), List.of(), step.standing(), step.remembered(), now));
        } catch (Exception e) {
            throw new IllegalStateException(e);
        }
    }

    private void rounds(int count) {
        for (int i = 0; i < 6 * count; i++) {
            now = now.plusNanos(10_000_000_000L);
            for (PolledDevice device : station.devices()) {
                for (Request request : device.map().requests()) {
                    take(fold.apply(new StationInput.Observed(answer(device, request))));
                }
            }
        }
    }

    /** What the device's map makes of cells that are all 0, with the indications that the test wants. */
    private Decoded answer(PolledDevice device, Request request) {
        StationFacts.Device facts = station.model().facts().device(device.id()).orElseThrow();
        Decoded zero = request instanceof ReadBlock block
                ? new Decoder(device.map()).decode(device.id(), new RawBlock(block, new int[block.count()]), now)
                : null;
        DeviceKind.Block known = facts.kind().blocks().stream()
                .filter(b -> b.name().equals(request.name()))
                .findFirst()
                .orElseThrow();
        List<Indication> told = new ArrayList<>();
        for (String name : known.signals()) {
            if (facts.kind().indication(name).isPresent()) {
                SignalId id = new SignalId(device.id(), name);
                told.add(Indication.of(id, holding.getOrDefault(id, false), now));
            }
        }
        return new Decoded(
                device.id(),
                request.name(),
                List.of(),
                told,
                zero == null ? List.of() : zero.words(),
                now,
                zero == null ? null : zero.raw());
    }

    private GuidedInput.Entry entry() {
        keys++;
        return new GuidedInput.Entry("key " + keys, ANN, now, 10_000, null);
    }

    private GuidedSession session() {
        return fold.view().faultFindings().sessions().get(0);
    }

    private GuidedSession begin() {
        String diagnosis = fold.view().diagnoses().get(0).id();
        take(fold.apply(new StationInput.BeginFaultFinding(diagnosis, entry())));
        return session();
    }

    private void say(GuidedInput input) {
        StationStep step = fold.apply(new StationInput.InFaultFinding(session().id(), input));
        assertThat(step.notTaken()).isNull();
        take(step);
    }

    private FaultFindingForm state() {
        return forms.faultFinding(session(), fold.view());
    }

    private void assertFits(String schema, Object form) {
        assertThat(schemas.mistakes(schema, Written.json(form)))
                .as("%s", new String(Written.json(form), StandardCharsets.UTF_8))
                .isEmpty();
    }

    private FaultFindingRecordForm exported() {
        String session = session().id();
        return forms.faultFindingRecord(
                new FaultFindingExport(
                        record.ofSession(session),
                        record.rowsOfSession(session),
                        record.between(0, Long.MAX_VALUE, 5_000),
                        Map.of("gas-t2", new FaultFindingExport.Identity("Hill & Brook", "HBG-8", "2.14")),
                        now),
                fold.view());
    }

    /** Answers whatever is proposed with its first outcome, or a value in the middle, as long as something is proposed. */
    private void workThrough() {
        for (int i = 0; i < 10 && state().next().kind().equals("check"); i++) {
            FaultFindingForm now = state();
            GuidedCheckForm check = now.checks().get(0);
            assertThat(check.check()).isEqualTo(now.next().check());
            assertFits("fault-finding-1.schema.json", now);
            for (GuidedCheckForm.Confirm each : check.confirm()) {
                Work.Preparation of = Work.Preparation.valueOf(
                        each.preparation().toUpperCase(java.util.Locale.ROOT).replace('-', '_'));
                say(
                        of == Work.Preparation.WORDS_SAVED
                                ? new GuidedInput.WordsSaved(entry(), "laptop 2")
                                : new GuidedInput.Prepared(entry(), check.check(), of));
            }
            if (check.authorisationMissing()) {
                say(new GuidedInput.Authorised(entry(), check.check(), "permit 12"));
            }
            say(new GuidedInput.Answered(entry(), check.check(), 0, "seen twice"));
        }
    }

    @Test
    void whyAStepIsProposedHasAWordInTheSchemaForEachReason() throws Exception {
        JsonNode schema = new ObjectMapper().readTree(Forms.class.getResource("schema/fault-finding-1.schema.json"));
        List<String> words = new ArrayList<>();
        schema.findValues("why").stream()
                .filter(why -> why.has("enum"))
                .forEach(why -> why.get("enum").forEach(word -> words.add(word.asText())));
        assertThat(words)
                .containsExactlyInAnyOrderElementsOf(
                        Stream.of(Next.Why.values()).map(Written::name).toList());
    }

    @Test
    void everyFormFitsItsSchemaFromTheBeginningToTheHandOver() {
        GuidedSession session = begin();
        assertThat(state().checks()).isNotEmpty();
        assertThat(state().next().kind()).isEqualTo("check");
        say(new GuidedInput.SecondPerson(entry(), "B. Low"));
        say(new GuidedInput.ControlRoomTold(entry(), true, "the shift"));
        workThrough();
        assertThat(state().answers()).isNotEmpty();
        String cause = session.start().ranked().get(0).cause();
        say(new GuidedInput.Repaired(entry(), cause, null, "part 7, serial 12"));
        assertThat(state().watching()).isNotNull();
        assertFits("fault-finding-1.schema.json", state());
        say(new GuidedInput.HandedOver(entry(), "maker's service desk", "no spare here"));
        assertThat(state().next().kind()).isEqualTo("ended");
        assertFits("fault-finding-1.schema.json", state());

        assertFits("fault-findings-1.schema.json", forms.faultFindings(record.sessionsBegun(10), fold.view()));
        for (RecordedEvent each : record.ofSession(session.id())) {
            EventForm form = forms.event(each, fold.view());
            assertFits("fault-finding-event-1.schema.json", form);
            assertFits("cloud-event-1.schema.json", CloudEventForm.of(form, forms.station()));
        }
        FaultFindingRecordForm record = exported();
        assertFits("fault-finding-record-1.schema.json", record);
        assertThat(record.ended()).isNotNull();
        assertThat(record.devices())
                .filteredOn(d -> d.device().equals("gas-t2"))
                .singleElement()
                .satisfies(d -> assertThat(d.firmware()).isEqualTo("2.14"));
        assertThat(Objects.requireNonNull(record.steps().get(0).devices()))
                .as("words and answers as they came")
                .anySatisfy(d -> {
                    assertThat(d.words()).isNotEmpty();
                    assertThat(d.answers().get(0).raw()).startsWith("function ");
                });
        assertThat(record.timeline()).anyMatch(e -> e instanceof AlarmEventForm);
    }

    @Test
    void whilePeopleAreToKeepAwayNoCheckBeyondTheScreenIsToldOrPrinted() {
        begin();
        assertThat(state().checks()).anyMatch(c -> c.exposure() >= 1);
        int before = state().checks().size();
        holding.put(new SignalId("bushing-t2", "sensor-earth-l1"), true);
        rounds(1);

        assertThat(state().keepAway()).isNotEmpty();
        assertThat(state().checks()).allMatch(c -> c.exposure() == 0).hasSizeLessThan(before);
        assertThat(state().next().withdrawn()).isPositive();
        assertFits("fault-finding-1.schema.json", state());
    }

    /** FIPS 180-4 by the platform, not by our chain: the hashes are those that the record says how to compute. */
    @Test
    void theChainIsWhatTheRecordSaysItIs() throws Exception {
        begin();
        workThrough();
        FaultFindingRecordForm.ChainForm chain = exported().chain();
        byte[] last = new byte[32];
        for (FaultFindingRecordForm.RowForm row : chain.rows()) {
            java.security.MessageDigest sha = java.security.MessageDigest.getInstance("SHA-256");
            sha.update(last);
            last = sha.digest(row.body().getBytes(StandardCharsets.UTF_8));
            assertThat(java.util.HexFormat.of().formatHex(last)).isEqualTo(row.hash());
        }
        assertThat(chain.seal()).isEqualTo(java.util.HexFormat.of().formatHex(last));
    }

    private Path file(Consumer<ObjectNode> tampering) throws IOException {
        ObjectNode json = (ObjectNode) JSON.readTree(Written.json(exported()));
        tampering.accept(json);
        Path file = data.resolve("record.json");
        Files.write(file, JSON.writeValueAsBytes(json));
        return file;
    }

    private static String[] verified(Path file, Path... against) {
        ByteArrayOutputStream said = new ByteArrayOutputStream();
        List<String> words = new ArrayList<>(List.of("record", "verify-fault-finding", file.toString()));
        for (Path each : against) {
            words.add(each.toString());
        }
        int status = Commands.run(words, new PrintStream(said, true, StandardCharsets.UTF_8));
        return new String[] {String.valueOf(status), said.toString(StandardCharsets.UTF_8)};
    }

    @Test
    void aRecordThatLeftTheGatewayIsVerifiedAndATamperedOneRefused() throws Exception {
        begin();
        workThrough();
        assertThat(verified(file(json -> {}))).satisfies(v -> {
            assertThat(v[0]).as(v[1]).isEqualTo("0");
            assertThat(v[1])
                    .contains(
                            "nothing missing and nothing changed",
                            exported().chain().seal());
        });
        assertThat(verified(file(json -> {}), data)[0]).isEqualTo("0");

        List<Consumer<ObjectNode>> tamperings = List.of(
                json -> ((ObjectNode) json.path("steps").get(1)).put("found", "something else"),
                json -> ((ObjectNode) json.path("steps").get(1).path("by")).put("name", "Z. Other"),
                json -> ((ArrayNode) json.path("steps")).remove(1),
                json -> row(json, 1)
                        .put("body", row(json, 1).path("body").asText().replace("A. Ner", "A. Mer")),
                json -> ((ArrayNode) json.path("chain").path("rows")).remove(1),
                json -> ((ArrayNode) json.path("chain").path("rows"))
                        .remove(json.path("chain").path("rows").size() - 1),
                json -> row(json, 0).put("hash", "00".repeat(32)),
                json -> row(json, 0).put("recordHash", "00".repeat(32)),
                json -> ((ObjectNode) json.path("chain")).put("seal", "11".repeat(32)),
                json -> json.put("session", "windlow-gw.1.1"));
        for (int i = 0; i < tamperings.size(); i++) {
            String[] said = verified(file(tamperings.get(i)));
            assertThat(said[0]).as("tampering %s: %s", i, said[1]).isEqualTo("6");
            assertThat(said[1]).contains("REFUSED");
        }
        Files.writeString(data.resolve("record.json"), "{\"form\":\"oilbird.notice/1\"}");
        assertThat(verified(data.resolve("record.json"))[0]).isEqualTo("1");
    }

    private static ObjectNode row(JsonNode json, int index) {
        return (ObjectNode) json.path("chain").path("rows").get(index);
    }

    @Test
    void theEventRecordHoldsTheChainOfEachSessionAndSaysWhereItWasBroken() throws Exception {
        begin();
        workThrough();
        Path file = data.resolve(EventRecord.FILE);
        assertThat(RecordVerifier.verify(file).findings()).isEmpty();
        record.close();
        try (Connection connection = DriverManager.getConnection("jdbc:sqlite:" + file);
                Statement statement = connection.createStatement()) {
            statement.execute("UPDATE event SET session_hash = zeroblob(32) WHERE position ="
                    + " (SELECT min(position) FROM event WHERE session IS NOT NULL)");
        }
        assertThat(RecordVerifier.verify(file).findings())
                .extracting(RecordVerifier.Finding::text)
                .anyMatch(t -> t.contains("the chain of fault-finding"));
    }

    /** Only what the record has is left after a restart; the session and what is proposed are the same. */
    @Test
    void aNewProcessGoesOnFromTheRecord() throws Exception {
        begin();
        workThrough();
        FaultFindingForm before = state();
        record.close();
        EventRecord.Opened opened = EventRecord.open(data, now);
        record = opened.record();
        Moment later = new Moment(5, now.wallMillis() + 60_000, true);
        StationFold next = StationFold.start(
                station.model(),
                opened.recovered().past(),
                station.model().facts().gateway(),
                8,
                later);
        FaultFindingForm after =
                forms.faultFinding(next.view().faultFindings().sessions().get(0), next.view());

        assertThat(after.session()).isEqualTo(before.session());
        assertThat(after.answers()).isEqualTo(before.answers());
        assertThat(after.causes()).isEqualTo(before.causes());
        assertThat(after.next().kind()).isEqualTo(before.next().kind());
        assertThat(after.next().check()).isEqualTo(before.next().check());
    }
}
