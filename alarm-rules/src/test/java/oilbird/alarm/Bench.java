package oilbird.alarm;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Predicate;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
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
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.signal.StatusWordValue;
import org.jspecify.annotations.Nullable;

/** Feeds a station fold as a poller would: every block at its period, on a clock of its own. */
public final class Bench {
    public static final Actor OPERATOR = new Actor("A. Operator", "page");
    /** 2026-03-01T00:00:00Z. */
    private static final long WALL = 1_772_323_200_000L;

    private static final long STEP = Duration.ofMillis(500).toNanos();

    private final StationModel model;
    private StationFold fold;
    private Moment now;
    private long incarnation;
    private final Map<String, Map<String, Object>> values = new LinkedHashMap<>();
    private final Map<String, QualityReason> failing = new LinkedHashMap<>();
    private final Map<AlarmId, AlarmState> stored = new LinkedHashMap<>();
    private final List<StationEvent> events = new ArrayList<>();
    private final List<StationInput> inputs = new ArrayList<>();
    private final Map<String, Long> undocumented = new LinkedHashMap<>();
    private final Map<String, Remembered> remembered = new LinkedHashMap<>();
    private Standing standing = Standing.NONE;
    private long wakeAt = AlarmState.NEVER;

    public Bench(StationModel model) {
        this.model = model;
        this.now = new Moment(0, WALL, true);
        this.incarnation = 1;
        for (StationFacts.Device device : model.facts().devices()) {
            Map<String, Object> of = new LinkedHashMap<>();
            device.kind()
                    .points()
                    .forEach(p -> of.put(p.name(), p.isField() ? p.texts().get(0) : (Object) 1.0));
            device.kind().indications().forEach(i -> of.put(i.name(), false));
            values.put(device.id(), of);
        }
        this.fold = StationFold.start(model, List.of(), null, "gw1", incarnation, now);
        take(fold.opening());
    }

    public static Bench of(StationFacts facts, List<RuleInstance> rules) {
        return new Bench(new StationModel(facts, rules, StationModel.Settings.DEFAULT, "test"));
    }

    public StationModel model() {
        return model;
    }

    // ---- the plant

    /**
     * From the next poll on: a Double or the String of a bit field for a reading, a Boolean for an indication, a
     * QualityReason for none.
     */
    public Bench set(String device, String signal, Object value) {
        Map<String, Object> of = values.get(device);
        if (of == null || !of.containsKey(signal)) {
            throw new IllegalArgumentException("no such signal: " + device + "/" + signal);
        }
        of.put(signal, value);
        return this;
    }

    public Bench gases(String device, double hydrogen) {
        return set(device, "hydrogen", hydrogen).set(device, "analysis-counter", count(device) + 1);
    }

    private double count(String device) {
        return (Double) value(device, "analysis-counter");
    }

    public Bench undocumented(String device, long mask) {
        undocumented.put(device, mask);
        return this;
    }

    public Bench silent(String device) {
        return failing(device, QualityReason.UNREACHABLE);
    }

    /** Every request to the device fails for this reason from the next poll on. */
    public Bench failing(String device, QualityReason reason) {
        failing.put(device, reason);
        return this;
    }

    public Bench back(String device) {
        failing.remove(device);
        return this;
    }

    // ---- time

    public Moment now() {
        return now;
    }

    /** Lets time pass; every block of every device is polled at its period. */
    public Bench run(Duration duration) {
        long end = now.monotonicNanos() + duration.toNanos();
        while (now.monotonicNanos() < end) {
            long next = Math.min(now.monotonicNanos() + STEP, end);
            while (wakeAt < next) {
                moveTo(Math.max(wakeAt, now.monotonicNanos()));
                apply(new StationInput.Elapsed(now));
            }
            moveTo(next);
            pollAll();
        }
        return this;
    }

    public Bench run(double seconds) {
        return run(Duration.ofMillis((long) (seconds * 1000)));
    }

    private void moveTo(long nanos) {
        now = now.plusNanos(nanos - now.monotonicNanos());
    }

    /** The wall clock is known to be wrong from now on, until the next start. */
    public Bench clockNotTrusted() {
        now = new Moment(now.monotonicNanos(), now.wallMillis(), false);
        return this;
    }

    public Bench pollAll() {
        for (StationFacts.Device device : model.facts().devices()) {
            if (!computed(device)) {
                poll(device);
            }
        }
        return this;
    }

    private boolean computed(StationFacts.Device device) {
        return model.transformers().stream().anyMatch(t -> t.device().equals(device.id()));
    }

    private void poll(StationFacts.Device device) {
        boolean shared = model.facts().shared().stream().anyMatch(s -> s.id().equals(device.id()));
        if (shared || standing.isReleased(device.id())) {
            return;
        }
        for (DeviceKind.Block block : device.kind().blocks()) {
            if (!block.period().isZero()
                    && now.monotonicNanos() % block.period().toNanos() == 0) {
                QualityReason failure = failing.get(device.id());
                if (failure != null) {
                    fail(device.id(), block.name(), failure);
                } else {
                    answer(device, block);
                }
            }
        }
    }

    private void answer(StationFacts.Device device, DeviceKind.Block block) {
        List<Reading> readings = new ArrayList<>();
        List<Indication> indications = new ArrayList<>();
        for (String name : block.signals()) {
            SignalId id = new SignalId(device.id(), name);
            Object value = value(device.id(), name);
            boolean point = device.kind().point(name).isPresent();
            if (value instanceof QualityReason reason) {
                if (point) {
                    readings.add(new Reading(id, null, null, reason, now));
                } else {
                    indications.add(Indication.cannotBeTold(id, reason, now));
                }
            } else if (value instanceof Double number) {
                readings.add(new Reading(id, number, null, QualityReason.NONE, now));
            } else if (value instanceof String text) {
                readings.add(new Reading(id, null, text, QualityReason.NONE, now));
            } else {
                indications.add(Indication.of(id, (Boolean) value, now));
            }
        }
        List<StatusWordValue> words = new ArrayList<>();
        Long mask = undocumented.get(device.id());
        if (mask != null) {
            words.add(new StatusWordValue(new SignalId(device.id(), "status-a"), mask, 16, mask, now));
        }
        apply(new StationInput.Observed(new Decoded(device.id(), block.name(), readings, indications, words, now)));
    }

    private Object value(String device, String signal) {
        Map<String, Object> of = values.get(device);
        Object value = of == null ? null : of.get(signal);
        if (value == null) {
            throw new IllegalArgumentException("no such signal: " + device + "/" + signal);
        }
        return value;
    }

    // ---- inputs

    public StationStep fail(String device, String block, QualityReason reason) {
        return apply(new StationInput.RequestFailed(device, block, reason, reason.name(), now));
    }

    public StationStep act(String alarm, AlarmInput.Act act) {
        return apply(new StationInput.Act(id(alarm), act));
    }

    public StationStep acknowledge(String alarm) {
        return act(alarm, new AlarmInput.Acknowledge(OPERATOR, "", null, now));
    }

    public StationStep apply(StationInput input) {
        inputs.add(input);
        StationStep step = fold.apply(input);
        take(step);
        return step;
    }

    /** What the record reads back of the last minutes. */
    private List<StationEvent.OfAlarm> recent(Moment saved) {
        return events.stream()
                .filter(e -> e.at().wallMillis() >= saved.wallMillis() - Past.RECENT_MILLIS)
                .filter(StationEvent.OfAlarm.class::isInstance)
                .map(StationEvent.OfAlarm.class::cast)
                .toList();
    }

    public Map<String, Remembered> remembered() {
        return remembered;
    }

    private void take(StationStep step) {
        for (Remembered piece : step.remembered()) {
            if (piece.isNothing()) {
                remembered.remove(piece.key());
            } else {
                remembered.put(piece.key(), piece);
            }
        }
        events.addAll(step.events());
        step.changed().forEach(s -> stored.put(s.id(), s));
        Standing changed = step.standing();
        standing = changed == null ? standing : changed;
        wakeAt = step.wakeAt();
    }

    /** Stops the process and starts another: only what was stored is left. */
    public Bench restart(Duration away) {
        return restart(model, away);
    }

    public Bench restart(StationModel next, Duration away) {
        Moment saved = now;
        // Another process counts its monotonic time from an origin of its own.
        now = new Moment(0, saved.wallMillis() + away.toMillis(), true);
        incarnation++;
        List<Remembered> pieces = List.copyOf(remembered.values());
        List<String> underWay = Past.faultFindingsUnderWay(pieces);
        Past past = new Past(
                List.copyOf(stored.values()),
                standing,
                pieces,
                recent(saved),
                events.stream()
                        .filter(StationEvent.FaultFinding.class::isInstance)
                        .map(StationEvent.FaultFinding.class::cast)
                        .filter(e -> underWay.contains(e.session()))
                        .toList(),
                saved);
        fold = StationFold.start(next, past, "gw1", incarnation, now);
        take(fold.opening());
        return this;
    }

    // ---- what came of it

    public List<StationInput> inputs() {
        return inputs;
    }

    public List<StationEvent> events() {
        return events;
    }

    public Map<AlarmId, AlarmState> stored() {
        return stored;
    }

    public StationView view() {
        return fold.view();
    }

    public StationView.AlarmView alarm(String id) {
        StationView.AlarmView alarm = view().alarms().get(id(id));
        if (alarm == null) {
            throw new IllegalArgumentException("no such alarm: " + id);
        }
        return alarm;
    }

    public StationView.TrustedReading reading(String device, String point) {
        return device(device).readings().stream()
                .filter(r -> r.reading().id().name().equals(point))
                .findFirst()
                .orElseThrow();
    }

    public Indication indication(String device, String name) {
        return device(device).indications().stream()
                .filter(i -> i.id().name().equals(name))
                .findFirst()
                .orElseThrow();
    }

    public StationView.DeviceView device(String device) {
        StationView.@Nullable DeviceView view = view().devices().get(device);
        if (view == null) {
            throw new IllegalArgumentException("no such device: " + device);
        }
        return view;
    }

    public static AlarmId id(String written) {
        int slash = written.indexOf('/');
        return new AlarmId(written.substring(0, slash), written.substring(slash + 1));
    }

    /** Kinds of an alarm's events so far, in order. */
    public List<AlarmEvent.Kind> kinds(String alarm) {
        return alarmEvents(e -> e.alarm().equals(id(alarm))).stream()
                .map(AlarmEvent::kind)
                .toList();
    }

    public List<AlarmEvent> alarmEvents(Predicate<AlarmEvent> which) {
        return events.stream()
                .filter(StationEvent.OfAlarm.class::isInstance)
                .map(e -> ((StationEvent.OfAlarm) e).event())
                .filter(which)
                .toList();
    }

    public StationEvent.OfAlarm last(String alarm) {
        StationEvent.OfAlarm found = null;
        for (StationEvent event : events) {
            if (event instanceof StationEvent.OfAlarm of && of.event().alarm().equals(id(alarm))) {
                found = of;
            }
        }
        if (found == null) {
            throw new IllegalArgumentException("no event of " + alarm);
        }
        return found;
    }

    public List<StationEvent.Notice> notices(StationEvent.Notice.Kind kind) {
        return events.stream()
                .filter(StationEvent.Notice.class::isInstance)
                .map(StationEvent.Notice.class::cast)
                .filter(n -> n.kind() == kind)
                .toList();
    }
}
