package oilbird.acceptance.scenario;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.Past;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationModel;
import oilbird.alarm.station.StationStep;
import oilbird.alarm.station.StationView;
import oilbird.demoplant.plant.Plant;
import oilbird.gateway.station.Station;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;

/** One fold fed from one plant, and what is counted meanwhile. */
final class Run {
    /** The shortest polling period of the station. */
    private static final Duration TICK = Duration.ofMinutes(1);

    private final Polling polling;
    private final Plant plant;
    private final Map<AlarmId, AlarmState> states = new LinkedHashMap<>();
    private final Map<String, Remembered> remembered = new LinkedHashMap<>();
    private final List<StationEvent> events = new ArrayList<>();
    private final Map<SignalId, Boolean> bits = new LinkedHashMap<>();
    private final StationModel model;
    private final StationFold fold;
    private Duration time;
    private Moment now;
    private Standing standing = Standing.NONE;
    private long wakeAt = Long.MAX_VALUE;
    private int bitsChanged;
    private int annunciated;
    private int starts;
    private int opened;
    private final Set<AlarmId> protectionGroupedAway = new LinkedHashSet<>();

    Run(Station station, Plant plant, Duration from, Past past) {
        this.plant = plant;
        this.polling = new Polling(station, plant);
        this.model = station.model();
        this.time = from;
        this.now = moment(from);
        this.fold = StationFold.start(model, past, "windlow-gw1", 1, now);
        take(fold.opening());
    }

    private Moment moment(Duration at) {
        Instant wall = plant.start().plus(at);
        return new Moment(at.toNanos(), wall.toEpochMilli(), true);
    }

    /** Polls until the plant time. */
    Run until(Duration end) {
        while (time.compareTo(end) < 0) {
            time = time.plus(TICK);
            long due = time.toNanos();
            while (wakeAt < due) {
                now = moment(Duration.ofNanos(wakeAt));
                take(fold.apply(new StationInput.Elapsed(now)));
            }
            now = moment(time);
            for (StationInput input : polling.at(time, now)) {
                count(input);
                take(fold.apply(input));
            }
        }
        return this;
    }

    private void count(StationInput input) {
        if (input instanceof StationInput.Observed observed) {
            for (Indication indication : observed.decoded().indications()) {
                if (indication.state() != IndicationState.CANNOT_BE_TOLD) {
                    Boolean holds = indication.state() == IndicationState.HOLDS;
                    Boolean before = bits.put(indication.id(), holds);
                    bitsChanged += before == null || before.equals(holds) ? 0 : 1;
                }
            }
        }
    }

    private void take(StationStep step) {
        step.changed().forEach(s -> states.put(s.id(), s));
        step.remembered().forEach(r -> remembered.put(r.key(), r));
        Standing changed = step.standing();
        standing = changed == null ? standing : changed;
        wakeAt = step.wakeAt();
        if (step.events().isEmpty()) {
            return;
        }
        events.addAll(step.events());
        StationView view = fold.view();
        for (StationEvent event : step.events()) {
            if (event instanceof StationEvent.OfAlarm of && of.event().annunciate() == AlarmEvent.Annunciation.START) {
                starts++;
                annunciated += grouped(view, of.event().alarm()) ? 0 : 1;
            }
            if (event instanceof StationEvent.Diagnosed diagnosed
                    && diagnosed.kind() == StationEvent.Diagnosed.Kind.OPENED) {
                opened++;
                annunciated++;
            }
        }
        for (Diagnosis diagnosis : view.diagnoses()) {
            diagnosis.grouped().stream().filter(this::protects).forEach(protectionGroupedAway::add);
        }
    }

    /** Whether an operator sees the alarm under a diagnosis instead of by itself. */
    private static boolean grouped(StationView view, AlarmId alarm) {
        return view.diagnoses().stream().anyMatch(d -> d.grouped().contains(alarm));
    }

    boolean protects(AlarmId id) {
        return model.rules().stream()
                .filter(r -> r.id().equals(id))
                .map(r -> r.policy().alarmClass())
                .anyMatch(c -> c == AlarmClass.SAFETY || c == AlarmClass.EQUIPMENT_PROTECTION);
    }

    StationView view() {
        return fold.view();
    }

    StationModel model() {
        return model;
    }

    List<StationEvent> events() {
        return events;
    }

    /** How often a bit that tells an indication changed, either way; bit fields do not count. */
    int bitsChanged() {
        return bitsChanged;
    }

    /** What asks an operator to look: diagnoses, and alarms that stand for themselves. */
    int annunciated() {
        return annunciated;
    }

    /** Diagnoses that were opened, those that are over among them. */
    int opened() {
        return opened;
    }

    /** Annunciations of alarms without diagnosis. */
    int starts() {
        return starts;
    }

    Set<AlarmId> protectionGroupedAway() {
        return protectionGroupedAway;
    }

    /** What another fold goes on from. */
    Past past() {
        return new Past(
                List.copyOf(states.values()),
                standing,
                remembered.values().stream().filter(r -> !r.isNothing()).toList(),
                List.of(),
                now);
    }
}
