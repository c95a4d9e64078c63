package oilbird.gateway.contract;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.Stream;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationModel;
import oilbird.alarm.station.StationStep;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.station.PolledDevice;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** The demo station through decoder and fold, and everything that comes of it written and validated. */
class FormsTest {
    private static final ObjectMapper JSON = new ObjectMapper();
    private static final AlarmId FAN = new AlarmId("t1", "gas-t1.cabinet-fan-stopped");
    private static final AlarmId FLOW = new AlarmId("t1", "gas-t1.oil-flow-low");
    /** 2026-11-25T03:12:05Z. */
    private static final long NIGHT = 1_795_576_325_000L;

    private final Schemas schemas = new Schemas();
    private final Station station =
            StationFolder.load(Path.of("../../deploy/demo-station")).result().orElseThrow();
    private final Forms forms = new Forms(station.model(), station.owner());
    private final List<RecordedEvent> events = new ArrayList<>();
    private final Map<Integer, Integer> registers = new TreeMap<>();
    private Moment now = new Moment(0, NIGHT, true);
    private StationFold fold = start();

    private StationFold start() {
        return StationFold.start(
                station.model(), List.of(), null, station.model().facts().gateway(), 7, now);
    }

    @BeforeEach
    void aHealthyGasMonitor() {
        take(fold.opening());
        registers.put(0, 0xC000);
        registers.put(1, 1);
        for (int gas = 2; gas <= 14; gas += 2) {
            int bits = Float.floatToIntBits(20.0f);
            registers.put(gas, bits & 0xFFFF);
            registers.put(gas + 1, bits >>> 16);
        }
        registers.put(20, 215);
        registers.put(21, 275);
        registers.put(22, 2400);
        registers.put(23, 120);
        registers.put(24, 110);
        registers.put(25, 1350);
        for (int register = 30; register <= 37; register++) {
            registers.put(register, 0x3030);
        }
        observe();
    }

    /** One round of polls of every block of the gas monitor of transformer 1, a second later. */
    private void observe() {
        now = now.plusNanos(1_000_000_000L);
        PolledDevice device = station.devices().stream()
                .filter(d -> d.id().equals("gas-t1"))
                .findFirst()
                .orElseThrow();
        Decoder decoder = new Decoder(device.map());
        for (ReadBlock block : device.map().readPlan()) {
            int[] cells = new int[block.count()];
            for (int i = 0; i < cells.length; i++) {
                cells[i] = registers.getOrDefault(block.start() + i, 0);
            }
            take(fold.apply(new StationInput.Observed(decoder.decode(device.id(), new RawBlock(block, cells), now))));
        }
    }

    private void observeFor(int rounds) {
        for (int i = 0; i < rounds; i++) {
            observe();
        }
    }

    private StationStep act(AlarmId alarm, AlarmInput.Act act) {
        StationStep step = fold.apply(new StationInput.Act(alarm, act));
        take(step);
        return step;
    }

    private void take(StationStep step) {
        for (StationEvent event : step.events()) {
            events.add(new RecordedEvent(events.size() + 1, event, true));
        }
    }

    /** Fan and oil flow fail, people act, a device falls silent, a bit that nobody documented is set. */
    private void playAll() {
        registers.put(0, 0xC000 | 0b101 | 1 << 12);
        observeFor(10);
        Actor operator = new Actor("A. Tester", "page");
        act(FAN, new AlarmInput.Acknowledge(operator, "seen", null, now));
        act(FAN, new AlarmInput.Acknowledge(operator, "again", "windlow-gw1.7.99999", now));
        act(FLOW, new AlarmInput.Comment(operator, "valve?", null, now));
        act(FAN, new AlarmInput.ShelveTimed(operator, "spare part ordered", Duration.ofMinutes(30), now));
        act(
                new AlarmId("t1", "gas-t1.detector-fault"),
                new AlarmInput.RemoveFromService(operator, "being replaced", "P-118", Duration.ofDays(2), now));
        take(fold.apply(new StationInput.RequestFailed(
                "cooling-t2", "", QualityReason.UNREACHABLE, "connection refused", now)));
        now = now.plusNanos(600_000_000_000L);
        take(fold.apply(new StationInput.Elapsed(now)));
        registers.put(0, 0xC000);
        observeFor(20);
    }

    private void assertFits(String schema, Object form) {
        assertThat(schemas.mistakes(schema, Written.json(form)))
                .as(form.toString())
                .isEmpty();
    }

    @Test
    void everyEventFitsItsSchemaAndSaysItsFormItself() {
        playAll();

        assertThat(events).hasSizeGreaterThan(12);
        for (RecordedEvent event : events) {
            EventForm form = forms.event(event, fold.view());
            assertFits(form.form().substring("oilbird.".length()).replace('/', '-') + ".schema.json", form);
            assertFits("cloud-event-1.schema.json", CloudEventForm.of(form, forms.station()));
        }
        assertThat(events.stream().map(e -> forms.event(e, fold.view()).kind()))
                .contains("raised", "returned", "acknowledged", "refused", "commented", "shelved", "undocumented-bit");
    }

    @Test
    void everyKindOfAccessEventFitsItsSchema() {
        for (StationEvent.Accessed.Kind kind : StationEvent.Accessed.Kind.values()) {
            take(fold.apply(new StationInput.Accessed(
                    kind, 0, 0, "a.tester", new Actor("a.tester", "page"), "192.0.2.10", "x", 1, now)));
            EventForm form = forms.event(events.get(events.size() - 1), fold.view());
            assertThat(form).isInstanceOf(AccessEventForm.class);
            assertFits("access-event-1.schema.json", form);
            assertFits("cloud-event-1.schema.json", CloudEventForm.of(form, forms.station()));
        }
    }

    @Test
    void everyPictureOfTheStationFitsItsSchema() {
        playAll();

        assertFits("needs-someone-1.schema.json", forms.needsSomeone(fold.view(), events.size()));
        assertFits("alarms-1.schema.json", forms.alarms(fold.view(), alarm -> true, null, 1_000));
        assertFits("alarms-1.schema.json", forms.alarms(fold.view(), alarm -> true, FAN, 2));
        assertFits(
                "reading-list-1.schema.json", forms.readingList(fold.view(), device -> true, reading -> true, null, 5));
        assertFits(
                "one-reading-1.schema.json",
                forms.oneReading(new SignalId("gas-t1", "hydrogen"), fold.view())
                        .orElseThrow());
        assertFits("assets-1.schema.json", forms.assets(fold.view()));
        assertFits("asset-1.schema.json", forms.asset("t1", fold.view()).orElseThrow());
        assertFits(
                "schemas-1.schema.json",
                new SchemasForm(SchemasForm.FORM, List.of("/api/v1/schemas/alarm-event-1.schema.json")));
        assertFits("devices-1.schema.json", forms.devices(fold.view()));
        for (String device : fold.view().devices().keySet()) {
            assertFits(
                    "readings-1.schema.json",
                    forms.readings(device, fold.view()).orElseThrow());
        }
        assertFits(
                "record-page-1.schema.json",
                new RecordPageForm(
                        RecordPageForm.FORM,
                        forms.station(),
                        events.stream().map(e -> forms.event(e, fold.view())).toList(),
                        12L));
        assertThat(forms.needsSomeone(fold.view(), 0).setAside().outOfService()).isNotEmpty();
    }

    @Test
    void theSmallFormsFitTheirSchemas() {
        assertFits(
                "gateway-1.schema.json",
                new GatewayForm(GatewayForm.FORM, "windlow", "windlow-gw1", false, Written.time(now), true));
        assertFits("alive-1.schema.json", new AliveForm(AliveForm.FORM, Written.time(now), true, 3));
        assertFits(
                "health-1.schema.json",
                new HealthForm(
                        HealthForm.FORM,
                        forms.station(),
                        true,
                        true,
                        12,
                        3,
                        4,
                        List.of(
                                new HealthForm.LinkForm("control-room", "up", 0, 0, null),
                                new HealthForm.LinkForm("other", "down", 4, 0, "connection refused"))));
        assertFits(
                "problem-1.schema.json",
                new ProblemForm(
                        "urn:oilbird:problem:refused", "Refused", 409, "why", null, "by", "Bad_EventIdUnknown"));
        assertFits("act-1.schema.json", new Act("A. Tester", "seen"));
    }

    private record Act(String by, String comment) {}

    @Test
    void everySchemaIsOfAFormOrShared() {
        assertThat(PublishedSchemas.names()).containsExactlyElementsOf(Schemas.names());
        assertThat(Schemas.names())
                .contains("alarm-event-1.schema.json", "common-1.schema.json")
                .allSatisfy(name -> assertThat(
                                Schemas.document(name).path("$schema").asText())
                        .isEqualTo("https://json-schema.org/draft/2020-12/schema"));
    }

    @Test
    void aRaisedEventSaysWhatAnOperatorAndAFieldTechnicianNeed() throws Exception {
        registers.put(0, 0xC000 | 0b100);
        observeFor(10);

        JsonNode raised = JSON.readTree(Written.json(eventOf(FLOW, "raised")));
        assertThat(raised.path("form").asText()).isEqualTo("oilbird.alarm-event/1");
        assertThat(raised.path("eventId").asText()).startsWith("windlow-gw1.7.");
        assertThat(raised.path("alarm").asText()).isEqualTo("t1/gas-t1.oil-flow-low");
        assertThat(raised.path("state").asText()).isEqualTo("UNACK");
        assertThat(raised.path("class").asText()).isEqualTo("instrument-diagnostic");
        assertThat(raised.path("sentence").asText()).contains("Transformer 1").contains("monitor technician");
        assertThat(raised.path("readingsTrusted").asBoolean()).isFalse();
        assertThat(raised.path("doubtfulReadings").findValuesAsText("reading")).contains("gas-t1/hydrogen");
        assertThat(raised.path("at").asText()).matches("2026-11-25T03:12:\\d\\d\\.\\d{3}Z");
        assertThat(raised.path("timeTrusted").asBoolean()).isTrue();
        List<Integer> exposures = new ArrayList<>();
        raised.path("firstChecks").forEach(check -> {
            exposures.add(check.path("exposure").asInt());
            assertThat(check.path("do").asText()).isNotBlank();
            assertThat(check.path("exposureText").asText()).isNotBlank();
            if (check.path("exposure").asInt() >= 2) {
                assertThat(check.path("cautions")).as(check.toString()).isNotEmpty();
            }
        });
        assertThat(exposures).isNotEmpty().isSorted();
    }

    private EventForm eventOf(AlarmId alarm, String kind) {
        return events.stream()
                .map(event -> forms.event(event, fold.view()))
                .filter(form -> form instanceof AlarmEventForm event
                        && event.alarm().equals(alarm.toString())
                        && event.kind().equals(kind))
                .findFirst()
                .orElseThrow();
    }

    @Test
    void anOldEventIsToldAsItWasAndNotAsTheAlarmStandsNow() {
        registers.put(0, 0xC000 | 1);
        observeFor(10);
        registers.put(0, 0xC000);
        observeFor(10);

        assertThat(forms.alarm(FAN, fold.view()).orElseThrow().state()).isEqualTo("RTNUN");
        AlarmEventForm raised = (AlarmEventForm) eventOf(FAN, "raised");
        assertThat(raised.explanation().sentence()).contains("has stopped");
        assertThat(((AlarmEventForm) eventOf(FAN, "returned")).explanation().sentence())
                .contains("runs again");
    }

    @Test
    void anEventThatIsNewerThanThePictureIsLaidOverIt() {
        var before = fold.view();
        registers.put(0, 0xC000 | 1);
        observeFor(10);
        StationEvent.OfAlarm raised = (StationEvent.OfAlarm) events.stream()
                .map(RecordedEvent::event)
                .filter(e ->
                        e instanceof StationEvent.OfAlarm o && o.event().alarm().equals(FAN))
                .findFirst()
                .orElseThrow();

        var laid = Forms.atLeast(before, raised);
        assertThat(laid).isNotNull();
        assertThat(laid.state().name().name()).isEqualTo("UNACK");
        assertThat(laid.state().lastEvent()).isEqualTo(raised.id().toString());
        act(FAN, new AlarmInput.Acknowledge(new Actor("A. Tester", "page"), "", null, now));
        var newer = fold.view();
        assertThat(Forms.atLeast(newer, raised) == newer.alarms().get(FAN))
                .as("a picture that is newer than the event stays as it is")
                .isTrue();
    }

    @Test
    void unacknowledgedAlarmsStandFirstThenByPriority() {
        registers.put(0, 0xC000 | 0b111);
        observeFor(10);
        act(FLOW, new AlarmInput.Acknowledge(new Actor("A. Tester", "page"), "", null, now));

        List<AlarmStateForm> open = forms.needsSomeone(fold.view(), 0).alarms();
        assertThat(open).hasSizeGreaterThanOrEqualTo(2);
        assertThat(open.get(open.size() - 1).alarm())
                .as("the only acknowledged one, though it is the most urgent")
                .isEqualTo(FLOW.toString());
        assertThat(open.stream().map(AlarmStateForm::acknowledged)).isSortedAccordingTo(Boolean::compare);
    }

    private static final Actor TECHNICIAN = new Actor("T. Tester", "page");

    private void beginMaintenance(String of) {
        take(fold.apply(
                new StationInput.BeginMaintenance(of, TECHNICIAN, "fan change", "W-12", Duration.ofHours(2), now)));
    }

    private void testAlarm(AlarmId alarm, boolean active) {
        take(fold.apply(new StationInput.TestAlarm(alarm, active, TECHNICIAN, Duration.ofMinutes(10), now)));
    }

    @Test
    void maintenanceIsToldAsQualityWithWhoPermitAndUntilWhen() {
        beginMaintenance("gas-t1");
        observeFor(2);

        AlarmStateForm fan = forms.alarm(FAN, fold.view()).orElseThrow();
        assertFits("alarm-state-1.schema.json", fan);
        assertThat(fan.quality()).isEqualTo("uncertain");
        assertThat(fan.state()).isEqualTo("OOSRV");
        MaintenanceForm told = fan.maintenance();
        assertThat(told).isNotNull();
        assertThat(told.of()).isEqualTo("gas-t1");
        assertThat(told.name()).isEqualTo("Transformer 1: gas monitor");
        assertThat(told.by().name()).isEqualTo("T. Tester");
        assertThat(told.permit()).isEqualTo("W-12");
        assertThat(told.until()).startsWith("2026-11-25T05:12");
        assertThat(told.timeOver()).isFalse();
        assertThat(((AlarmEventForm) eventOf(FAN, "removed-from-service")).quality())
                .as("told with the event itself")
                .isEqualTo("uncertain");
        ReadingsForm readings = forms.readings("gas-t1", fold.view()).orElseThrow();
        assertFits("readings-1.schema.json", readings);
        assertThat(readings.device().maintenance()).isEqualTo(told);
        assertThat(readings.readings())
                .filteredOn(r -> r.reading().equals("gas-t1/oil-flow"))
                .allSatisfy(r -> assertThat(r.reason()).isEqualTo("in-maintenance"));
        NeedsSomeoneForm banner = forms.needsSomeone(fold.view(), 0);
        assertFits("needs-someone-1.schema.json", banner);
        assertThat(banner.maintenance()).containsExactly(told);
        assertFits("standing-1.schema.json", forms.standing(fold.view()));
        assertThat(forms.standing(fold.view()).maintenance().get(0).alarms()).contains(FAN.toString());
    }

    @Test
    void aForcedAlarmGoesOutAsForcedAndMarkedAndIsToldHereAsItStands() {
        beginMaintenance("gas-t1");
        testAlarm(FAN, true);

        StationView.AlarmView fan = fold.view().alarms().get(FAN);
        assertThat(fan).isNotNull();
        AlarmStateForm out = forms.outgoing(fan, fold.view());
        assertFits("alarm-state-1.schema.json", out);
        assertThat(out.active()).isTrue();
        assertThat(out.state()).isEqualTo("UNACK");
        assertThat(out.annunciated()).isTrue();
        TestForm mark = out.test();
        assertThat(mark).isNotNull();
        assertThat(mark.forcedTo()).isEqualTo("active");
        assertThat(mark.by().name()).isEqualTo("T. Tester");
        assertThat(out.explanation().headline()).startsWith("Test: ");
        assertThat(out.explanation().sentence()).startsWith("Point test by T. Tester, nothing has happened; ");
        AlarmStateForm here = forms.alarm(FAN, fold.view()).orElseThrow();
        assertThat(here.active()).isFalse();
        assertThat(here.state()).isEqualTo("OOSRV");
        assertThat(here.test()).isEqualTo(mark);
        AlarmEventForm event = (AlarmEventForm) eventOf(FAN, "test-forced");
        assertFits("alarm-event-1.schema.json", event);
        assertThat(event.test()).isTrue();
        assertThat(event.active()).isTrue();
        assertThat(event.state()).isEqualTo("UNACK");
        assertThat(event.explanation().headline()).startsWith("Test: ");
        assertThat(forms.needsSomeone(fold.view(), 0).tests()).containsExactly(mark);

        testAlarm(FAN, false);
        assertThat(forms.outgoing(fan, fold.view()).state()).isEqualTo("NORM");
        take(fold.apply(new StationInput.EndAlarmTest(FAN, TECHNICIAN, now)));
        assertThat(forms.outgoing(fan, fold.view()).test()).isNull();
        assertThat(((AlarmEventForm) eventOf(FAN, "test-ended")).test()).isFalse();
    }

    @Test
    void anEventOfATestIsNeverTakenForTheAlarmsState() {
        observe();
        StationView before = fold.view();
        testAlarm(FAN, true);
        StationEvent.OfAlarm forced =
                (StationEvent.OfAlarm) events.get(events.size() - 1).event();
        assertThat(forced.event().test()).isTrue();
        assertThat(Forms.atLeast(before, forced)).isEqualTo(before.alarms().get(FAN));
    }

    @Test
    void aForcedReadingCarriesTheTestMarkEvenInMaintenance() {
        beginMaintenance("t1");
        SignalId hydrogen = new SignalId("gas-t1", "hydrogen");
        take(fold.apply(new StationInput.TestReading(hydrogen, 777, TECHNICIAN, Duration.ofMinutes(5), now)));

        ReadingsForm.ReadingForm told = forms.readings("gas-t1", fold.view()).orElseThrow().readings().stream()
                .filter(r -> r.reading().equals("gas-t1/hydrogen"))
                .findFirst()
                .orElseThrow();
        assertThat(told.test()).isTrue();
        assertThat(told.value()).isEqualTo(777.0);
        TestForm mark = forms.standing(fold.view()).tests().get(0);
        assertThat(mark.kind()).isEqualTo("reading");
        assertThat(mark.forcedTo()).isEqualTo("777");
        assertThat(mark.label()).startsWith("Transformer 1: gas monitor: ");
        assertFits("standing-1.schema.json", forms.standing(fold.view()));
    }

    @Test
    void anAlarmThatTheStationNoLongerHasIsStillTold() {
        Station without = new Station(
                station.owner(),
                new StationModel(
                        station.model().facts(),
                        station.model().rules().stream()
                                .filter(rule -> !rule.id().equals(FAN))
                                .toList(),
                        station.model().settings(),
                        station.model().rulesVersion()),
                station.devices(),
                station.links(),
                station.access());
        registers.put(0, 0xC000 | 1);
        observeFor(10);
        StationFold later = StationFold.start(without.model(), List.of(), null, "windlow-gw1", 8, now);

        Stream<EventForm> told = events.stream().map(e -> new Forms(without.model(), "").event(e, later.view()));
        assertThat(told.filter(e -> e instanceof AlarmEventForm a && a.alarm().equals(FAN.toString())))
                .isNotEmpty()
                .allSatisfy(e -> assertFits("alarm-event-1.schema.json", e));
    }

    @Test
    void pagesOfAlarmsAndReadingsMeetWithoutGapOrRepetition() {
        List<String> all = forms.alarms(fold.view(), alarm -> true, null, 10_000).alarms().stream()
                .map(AlarmStateForm::alarm)
                .toList();
        List<String> paged = new ArrayList<>();
        AlarmId after = null;
        do {
            AlarmsForm page = forms.alarms(fold.view(), alarm -> true, after, 7);
            page.alarms().forEach(alarm -> paged.add(alarm.alarm()));
            String next = page.next();
            after = next == null ? null : new AlarmId(next.split("/", 2)[0], next.split("/", 2)[1]);
        } while (after != null);
        assertThat(all).hasSizeGreaterThan(14).doesNotHaveDuplicates();
        assertThat(paged).containsExactlyElementsOf(all);

        List<String> readings = new ArrayList<>();
        SignalId last = null;
        do {
            ReadingListForm page =
                    forms.readingList(fold.view(), device -> device.asset().equals("t1"), reading -> true, last, 4);
            page.readings().forEach(reading -> readings.add(reading.reading()));
            String next = page.next();
            last = next == null ? null : new SignalId(next.split("/", 2)[0], next.split("/", 2)[1]);
        } while (last != null);
        assertThat(readings)
                .hasSizeGreaterThan(8)
                .doesNotHaveDuplicates()
                .allMatch(reading -> reading.matches("[a-z]+-t1/.*"));
    }

    @Test
    void theTextOfALinkHasTheFirstCheckWithEveryCaution() {
        registers.put(0, 0xC000 | 1);
        observeFor(10);
        AlarmEventForm raised = (AlarmEventForm) eventOf(FAN, "raised");
        CheckForm check = raised.explanation().firstChecks().get(0);
        String text = MessageText.of("{asset}, {priority}: {first_check}").of(raised);
        assertThat(text).startsWith("Transformer 1, " + raised.priority() + ": " + check.action());
        for (CheckForm.Caution caution : check.cautions()) {
            assertThat(text).contains("CAUTION: " + caution.text());
        }
        assertFits("alarm-event-1.schema.json", new WordedEventForm(raised, text));
        assertThat(MessageText.unknown("{asset} {nothing} {")).containsExactly("{nothing}", "{");
    }
}
