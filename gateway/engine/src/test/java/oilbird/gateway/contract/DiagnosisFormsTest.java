package oilbird.gateway.contract;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationStep;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.station.PolledDevice;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** What of diagnoses and keep-away leaves the process, on the demo station with its own fault models. */
class DiagnosisFormsTest {
    private static final ObjectMapper JSON = new ObjectMapper();
    private static final String FAN = "t2/gas-t2.cabinet-fan-stopped";

    private final Schemas schemas = new Schemas();
    private final Station station =
            StationFolder.load(Path.of("../../deploy/demo-station")).result().orElseThrow();
    private final Forms forms = new Forms(station.model(), station.owner());
    private final List<RecordedEvent> events = new ArrayList<>();
    private final Map<SignalId, Boolean> holding = new LinkedHashMap<>();
    private Moment now = new Moment(0, 1_795_576_325_000L, true);
    private final StationFold fold = StationFold.start(
            station.model(), List.of(), null, station.model().facts().gateway(), 7, now);

    @BeforeEach
    void aHealthyStation() {
        take(fold.opening());
        rounds(4);
    }

    private void take(StationStep step) {
        for (StationEvent event : step.events()) {
            events.add(new RecordedEvent(events.size() + 1, event, true));
        }
    }

    private void rounds(int count) {
        // A minute each, and often enough for the shortest polling period.
        for (int i = 0; i < 6 * count; i++) {
            now = now.plusNanos(10_000_000_000L);
            for (PolledDevice device : station.devices()) {
                StationFacts.Device facts =
                        station.model().facts().device(device.id()).orElseThrow();
                for (DeviceKind.Block block : facts.kind().blocks()) {
                    take(fold.apply(new StationInput.Observed(answer(facts, block))));
                }
            }
        }
    }

    private Decoded answer(StationFacts.Device device, DeviceKind.Block block) {
        List<Indication> told = new ArrayList<>();
        for (String name : block.signals()) {
            if (device.kind().indication(name).isPresent()) {
                SignalId id = new SignalId(device.id(), name);
                told.add(Indication.of(id, holding.getOrDefault(id, false), now));
            }
        }
        return new Decoded(device.id(), block.name(), List.of(), told, List.of(), now);
    }

    private DiagnosisFormsTest set(String device, String indication, boolean holds) {
        holding.put(new SignalId(device, indication), holds);
        return this;
    }

    private void assertFits(String schema, Object form) {
        assertThat(schemas.mistakes(schema, Written.json(form)))
                .as("%s", new String(Written.json(form), java.nio.charset.StandardCharsets.UTF_8))
                .isEmpty();
    }

    @Test
    void everyFormOfADiagnosisFitsItsSchema() {
        set("gas-t2", "cabinet-fan-stopped", true)
                .set("bushing-t2", "capacitance-high-l2", true)
                .rounds(4);
        StationView view = fold.view();
        assertThat(view.diagnoses()).hasSize(2);

        assertFits("diagnoses-1.schema.json", forms.diagnoses(view));
        assertFits("needs-someone-1.schema.json", forms.needsSomeone(view, events.size()));
        assertFits("standing-1.schema.json", forms.standing(view));
        for (DiagnosisForm each : forms.diagnoses(view).diagnoses()) {
            assertFits(
                    "diagnosis-1.schema.json",
                    forms.diagnosis(each.diagnosis(), view).orElseThrow());
        }
        set("gas-t2", "cabinet-fan-stopped", false).rounds(4);
        take(fold.apply(new StationInput.ReleaseKeepAway("t2", new Actor("C. Room", "page"), "seen", now)));
        assertThat(events.stream()
                        .map(e -> forms.event(e, fold.view()))
                        .filter(f -> f instanceof DiagnosisEventForm || f instanceof KeepAwayEventForm))
                .hasSizeGreaterThan(3)
                .allSatisfy(
                        f -> assertFits(f.form().substring("oilbird.".length()).replace('/', '-') + ".schema.json", f));
    }

    @Test
    void theAlarmSaysItsLikelyCauseAndStandsUnderItsDiagnosis() {
        set("gas-t2", "cabinet-fan-stopped", true).rounds(4);
        StationView view = fold.view();
        AlarmStateForm fan = forms.needsSomeone(view, 0).alarms().stream()
                .filter(a -> a.alarm().equals(FAN))
                .findFirst()
                .orElseThrow();

        assertThat(fan.underDiagnosis()).isEqualTo(view.diagnoses().get(0).id());
        assertThat(fan.explanation().likelyCause()).isNotNull();
        assertThat(fan.explanation().sentence()).contains(" cause (").contains(" %): the gas monitor's cabinet fan");
    }

    /** Whoever asks for one diagnosis can compute its posterior again from what the answer says and nothing else. */
    @Test
    void thePosteriorFollowsFromTheNumbersThatAreTold() {
        set("gas-t2", "cabinet-fan-stopped", true)
                .set("gas-t2", "oil-flow-low", true)
                .rounds(4);
        StationView view = fold.view();
        for (DiagnosisForm each : forms.diagnoses(view).diagnoses()) {
            DiagnosisForm form = forms.diagnosis(each.diagnosis(), view).orElseThrow();
            DiagnosisForm.Reasoning told = form.reasoning();
            assertThat(told).isNotNull();
            List<DiagnosisForm.CauseTermForm> causes = told.causes();
            double[] with = new double[causes.size()];
            double total = 0;
            for (int world = 0; world < 1 << causes.size(); world++) {
                double weight = 1;
                for (int i = 0; i < causes.size(); i++) {
                    DiagnosisForm.CauseTermForm c = causes.get(i);
                    weight *= (world >> i & 1) == 1 ? c.prior() * c.support() * c.absent() : 1 - c.prior();
                }
                for (DiagnosisForm.SignTermForm sign : told.signs()) {
                    double silent = 1 - sign.otherwise();
                    for (int i = 0; i < causes.size(); i++) {
                        for (DiagnosisForm.LinkForm link : causes.get(i).produces()) {
                            if ((world >> i & 1) == 1 && link.sign().equals(sign.sign())) {
                                silent *= 1 - link.probability();
                            }
                        }
                    }
                    weight *= 1 - silent;
                }
                total += weight;
                for (int i = 0; i < with.length; i++) {
                    with[i] += (world >> i & 1) == 1 ? weight : 0;
                }
            }
            for (int i = 0; i < with.length; i++) {
                assertThat(with[i] / total)
                        .as("%s", causes.get(i).cause())
                        .isCloseTo(causes.get(i).posterior(), org.assertj.core.api.Assertions.within(1e-9));
            }
        }
    }

    @Test
    void whilePeopleAreToKeepAwayNoFormHasACheckNearTheAsset() throws IOException {
        set("gas-t2", "cabinet-fan-stopped", true)
                .set("cooling-t2", "pump-tripped", true)
                .rounds(4);
        assertThat(exposures(everyFormOf("t2"))).as("before").anyMatch(e -> e >= 1);

        set("bushing-t2", "sensor-earth-l1", true).rounds(1);
        assertThat(exposures(everyFormOf("t2"))).as("meanwhile").isNotEmpty().allMatch(e -> e == 0);
        assertThat(exposures(everyFormOf("t1"))).as("another transformer").anyMatch(e -> e >= 1);
        set("bushing-t2", "sensor-earth-l1", false).rounds(4);
        assertThat(exposures(everyFormOf("t2"))).as("its reason gone").allMatch(e -> e == 0);

        take(fold.apply(new StationInput.ReleaseKeepAway("t2", new Actor("C. Room", "page"), "seen", now)));
        assertThat(exposures(everyFormOf("t2"))).as("released").anyMatch(e -> e >= 1);
    }

    /** All that is told of the alarms and diagnoses of an asset, past events included. */
    private List<Object> everyFormOf(String asset) {
        StationView view = fold.view();
        List<Object> all = new ArrayList<>();
        view.alarms().forEach((id, alarm) -> {
            if (id.asset().equals(asset)) {
                all.add(forms.alarm(id, view).orElseThrow());
                all.add(forms.outgoing(alarm, view));
            }
        });
        forms.diagnoses(view).diagnoses().stream()
                .filter(d -> d.assets().contains(asset))
                .forEach(all::add);
        events.stream()
                .filter(e -> e.event() instanceof StationEvent.OfAlarm of
                        && of.event().alarm().asset().equals(asset))
                .forEach(e -> all.add(forms.event(e, view)));
        return all;
    }

    private static List<Integer> exposures(List<Object> all) throws IOException {
        List<Integer> exposures = new ArrayList<>();
        for (Object form : all) {
            for (JsonNode each : JSON.readTree(Written.json(form)).findValues("exposure")) {
                exposures.add(each.asInt());
            }
        }
        return exposures;
    }
}
