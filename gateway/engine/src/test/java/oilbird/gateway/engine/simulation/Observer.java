package oilbird.gateway.engine.simulation;

import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.ArrayDeque;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmEvent.Annunciation;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.OutOfService;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.state.StateName;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationStep;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.outbox.LinkFilter;
import oilbird.gateway.engine.record.MemoryRecord;
import oilbird.gateway.engine.record.RecordGap;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.record.Recovered;
import oilbird.gateway.engine.simulation.Violation.Promise;
import oilbird.gateway.engine.writer.ActResult;
import org.jspecify.annotations.Nullable;

/**
 * Watches a simulated chain from outside and says when a promise is broken. It has its own view of everything: of what was
 * folded, announced, stored and delivered.
 */
final class Observer {
    private static final Set<StateName> HIDDEN =
            EnumSet.of(StateName.SHLVD, StateName.DSUPR, StateName.OOSRV, StateName.DISABLED);

    /** What one room asked for: the alarms of one transformer. */
    static final LinkFilter ONLY_T1 =
            new LinkFilter(List.of("t1"), Set.of(), Set.of(), EnumSet.of(LinkFilter.Kind.ALARM));

    /** What readings are forced to; no device ever says it. */
    static final double FORCED = 8_888.25;

    private final Store store;
    private final MessageDigest digest = sha256();
    private final MessageDigest chain = sha256();

    /** What each id stands for, wherever it was seen. */
    private final Map<EventId, byte[]> facts = new HashMap<>();

    private final Map<EventId, RecordedEvent> announced = new LinkedHashMap<>();
    private final Set<EventId> stored = new HashSet<>();
    /** Announced from memory and gone with the process, or given up for want of room: stated, and excused. */
    private final Set<EventId> excused = new HashSet<>();

    private long storedTo;
    private int storedRows;
    private byte[] lastHash = new byte[32];
    private int gapsSeen;

    // Of the present process.
    private final ArrayDeque<StationEvent> folded = new ArrayDeque<>();
    private final Map<AlarmId, Layers> layers = new HashMap<>();
    private Evidence evidence = new Evidence();

    private final Map<AlarmId, Long> occurrences = new HashMap<>();
    private final Map<AlarmId, Boolean> activeInTheRecord = new HashMap<>();
    private final Map<String, Arrivals> rooms = new LinkedHashMap<>();
    private @Nullable Violation violation;

    private static final class Layers {
        boolean shelved;
        boolean byDesign;
        boolean fromOutside;
        boolean outOfService;
        boolean disabled;

        boolean any() {
            return shelved || byDesign || fromOutside || outOfService || disabled;
        }
    }

    /** What one control room still has to be told, in order; by alarm, the rest under null. */
    private static final class Arrivals {
        final Map<@Nullable AlarmId, ArrayDeque<EventId>> owed = new HashMap<>();
        final Set<EventId> got = new HashSet<>();
        boolean onlyT1;

        /** Written out on its own: what a room that asked for the alarms of t1 has to be told, and nothing else. */
        boolean wants(StationEvent event) {
            return !onlyT1
                    || event instanceof StationEvent.KeptAway
                    || (event instanceof StationEvent.OfAlarm ofAlarm
                            && ofAlarm.event().alarm().asset().equals("t1"));
        }
    }

    Observer(Store store) {
        this.store = store;
    }

    private static MessageDigest sha256() {
        try {
            return MessageDigest.getInstance("SHA-256");
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException(e);
        }
    }

    void room(String id, boolean onlyT1) {
        Arrivals arrivals = new Arrivals();
        arrivals.onlyT1 = onlyT1;
        rooms.put(id, arrivals);
    }

    int announcedEvents() {
        return announced.size();
    }

    int excusedEvents() {
        return excused.size();
    }

    List<RecordedEvent> announced() {
        return List.copyOf(announced.values());
    }

    /** Over everything announced and delivered so far, in order. */
    byte[] digest() {
        try {
            return ((MessageDigest) digest.clone()).digest();
        } catch (CloneNotSupportedException e) {
            throw new IllegalStateException(e);
        }
    }

    /** Throws the first violation again, if somebody on the way swallowed it. */
    void rethrow() {
        if (violation != null) {
            throw violation;
        }
    }

    void violated(Promise promise, String what) {
        Violation found = new Violation(promise, what);
        if (violation == null) {
            violation = found;
        }
        throw found;
    }

    // ---- start

    void booted(Recovered recovered) {
        folded.clear();
        evidence = new Evidence();
        storedTo = 0;
        storedRows = 0;
        lastHash = new byte[32];
        Set<EventId> before = new HashSet<>(stored);
        stored.clear();
        activeInTheRecord.clear();
        check();
        before.removeAll(stored);
        if (!before.isEmpty()) {
            violated(Promise.NO_ANNOUNCED_EVENT_LOST, "stored events are gone after a start: " + before);
        }
        Set<AlarmId> lostOf = new HashSet<>();
        for (RecordedEvent event : announced.values()) {
            EventId id = event.event().id();
            if (stored.contains(id) || excused.contains(id)) {
                continue;
            }
            if (event.recorded()) {
                violated(Promise.NO_ANNOUNCED_EVENT_LOST, "announced and not in the record after a start: " + event);
            }
            excused.add(id);
            if (event.event() instanceof StationEvent.OfAlarm ofAlarm) {
                lostOf.add(ofAlarm.event().alarm());
            }
        }
        // Stored, and the power went before anybody was told: whoever asks the record from now on is told.
        for (MemoryRecord.Row row : store.rowsAfter(0)) {
            StationEvent event = row.event();
            RecordedEvent recorded = new RecordedEvent(row.position(), event, true);
            if (announced.putIfAbsent(event.id(), recorded) == null) {
                owe(event);
                if (event instanceof StationEvent.OfAlarm ofAlarm) {
                    count(ofAlarm.event());
                }
            }
        }
        recovered.past().standing().maintenance().forEach(each -> evidence.maintenance(each.of(), true));
        layers.clear();
        for (AlarmState state : recovered.states()) {
            Layers now = new Layers();
            now.shelved = state.shelving().kind() != Shelving.Kind.NONE;
            now.byDesign = state.suppression().logic() && !state.suppression().overruled();
            now.fromOutside = state.suppression().fromOutside();
            now.outOfService = state.outOfService() != null;
            now.disabled = !state.enabled();
            layers.put(state.id(), now);
            if (lostOf.contains(state.id())) {
                occurrences.put(state.id(), state.occurrence());
                lostOf.remove(state.id());
            }
        }
        lostOf.forEach(occurrences::remove);
    }

    // ---- fold

    /** The fold has taken an input, or nothing but its start. */
    void folded(@Nullable StationInput input, StationStep step, boolean timersDue) {
        Evidence earlier = evidence;
        if (input instanceof StationInput.Observed || input instanceof StationInput.RequestFailed) {
            earlier = timersDue && !step.events().isEmpty() ? evidence.copy() : evidence;
            evidence.take(input);
        }
        for (Remembered piece : step.remembered()) {
            judge(piece);
        }
        for (StationEvent event : step.events()) {
            folded.add(event);
            if (event instanceof StationEvent.Notice notice) {
                if (notice.kind() == StationEvent.Notice.Kind.MAINTENANCE_BEGUN) {
                    evidence.maintenance(notice.subject().owner(), true);
                } else if (notice.kind() == StationEvent.Notice.Kind.MAINTENANCE_ENDED) {
                    evidence.maintenance(notice.subject().owner(), false);
                }
            }
            if (event instanceof StationEvent.OfAlarm ofAlarm) {
                judge(ofAlarm, earlier);
            }
        }
    }

    Set<String> maintenanceOf(String device) {
        return evidence.maintenanceOf(device);
    }

    /** What a restart is to know again: samples of rates and trends, levels learnt, values that count. */
    private void judge(Remembered piece) {
        if (piece.numbers().contains((double) ScriptedDevice.CALIBRATION_GAS)) {
            violated(Promise.MAINTENANCE_IS_NO_SAMPLE, "calibration gas is remembered: " + piece);
        }
        if (piece.numbers().contains(FORCED)) {
            violated(Promise.A_POINT_TEST_CHANGES_NOTHING, "a forced value is remembered: " + piece);
        }
    }

    private void judge(StationEvent.OfAlarm ofAlarm, Evidence earlier) {
        AlarmEvent event = ofAlarm.event();
        if (event.kind() == AlarmEvent.Kind.TEST_FORCED || event.kind() == AlarmEvent.Kind.TEST_ENDED) {
            if (event.annunciate() != Annunciation.NONE) {
                violated(Promise.A_POINT_TEST_CHANGES_NOTHING, "a test is annunciated: " + ofAlarm);
            }
            return;
        }
        if (event.text().contains("8888")) {
            violated(Promise.A_POINT_TEST_CHANGES_NOTHING, "a forced value is evidence: " + ofAlarm);
        }
        Layers now = layers.computeIfAbsent(event.alarm(), id -> new Layers());
        switch (event.kind()) {
            case SHELVED -> now.shelved = true;
            case UNSHELVED, AUTO_UNSHELVED -> now.shelved = false;
            case SUPPRESSED -> {
                now.byDesign |= ofLogic(event);
                now.fromOutside |= !ofLogic(event);
            }
            case UNSUPPRESSED -> {
                now.byDesign = false;
                now.fromOutside &= ofLogic(event); // a person lifts both
            }
            case REMOVED_FROM_SERVICE -> now.outOfService = true;
            case PLACED_IN_SERVICE -> now.outOfService = false;
            case DISABLED -> now.disabled = true;
            case ENABLED -> now.disabled = false;
            default -> {}
        }
        boolean told = event.enabled() == !now.disabled
                && (event.shelving() != Shelving.Kind.NONE) == now.shelved
                && event.suppressedByDesign() == (now.byDesign || now.fromOutside)
                && event.outOfService() == now.outOfService;
        if (!told) {
            violated(Promise.SUPPRESSED_IS_NEVER_ANNUNCIATED, "the event tells other layers: " + ofAlarm);
        }
        if (now.any() != HIDDEN.contains(event.after())) {
            violated(Promise.SUPPRESSED_IS_NEVER_ANNUNCIATED, "the name of the state hides a layer: " + ofAlarm);
        }
        if (now.any() && event.annunciate() != Annunciation.NONE && event.annunciate() != Annunciation.END) {
            violated(Promise.SUPPRESSED_IS_NEVER_ANNUNCIATED, String.valueOf(ofAlarm));
        }
        if (event.kind() == AlarmEvent.Kind.RETURNED || event.kind() == AlarmEvent.Kind.EASED) {
            RuleInstance rule = Windlow.STATION.rule(event.alarm());
            boolean eased = event.kind() == AlarmEvent.Kind.EASED;
            String why = evidence.against(rule, eased, event.at());
            if (why != null && (earlier == evidence || earlier.against(rule, eased, event.at()) != null)) {
                violated(Promise.NOTHING_CLEARED_BY_BAD_OR_DOUBTFUL_DATA, why + ": " + ofAlarm);
            }
        }
    }

    private static boolean ofLogic(AlarmEvent event) {
        Actor by = event.by();
        return by != null && by.door().equals("rule");
    }

    // ---- announcement

    void announced(List<RecordedEvent> events) {
        check();
        for (RecordedEvent recorded : events) {
            StationEvent event = recorded.event();
            StationEvent expected = folded.poll();
            if (!event.equals(expected)) {
                violated(Promise.EVERYTHING_FOLDED_IS_ANNOUNCED, "announced " + event + " instead of " + expected);
            }
            byte[] body = fact(event);
            digest.update(ByteBuffer.allocate(9)
                    .putLong(recorded.position())
                    .put((byte) (recorded.recorded() ? 1 : 0))
                    .flip());
            digest.update(body);
            if (announced.put(event.id(), recorded) != null) {
                violated(Promise.NO_EVENT_ID_TWICE, "announced twice: " + event);
            }
            if (recorded.recorded() && !stored.contains(event.id())) {
                violated(Promise.NOTHING_ANNOUNCED_BEFORE_IT_IS_STORED, String.valueOf(event));
            }
            if (event instanceof StationEvent.OfAlarm ofAlarm) {
                count(ofAlarm.event());
            }
            owe(event);
        }
    }

    private void owe(StationEvent event) {
        AlarmId alarm = alarm(event);
        for (Arrivals room : rooms.values()) {
            if (!room.wants(event)) {
                continue;
            }
            room.owed.computeIfAbsent(alarm, a -> new ArrayDeque<>()).add(event.id());
        }
    }

    private void count(AlarmEvent event) {
        long before = occurrences.getOrDefault(event.alarm(), 0L);
        boolean activation = event.kind() == AlarmEvent.Kind.RAISED || event.kind() == AlarmEvent.Kind.ESCALATED;
        if (event.occurrence() < before || (activation && event.occurrence() == before)) {
            violated(Promise.OCCURRENCE_NEVER_DECREASES, "after " + before + ": " + event);
        }
        occurrences.put(event.alarm(), event.occurrence());
    }

    /** Whoever acted was answered. */
    void answered(ActResult result) {
        List<RecordedEvent> events = List.of();
        if (result instanceof ActResult.Done done) {
            events = done.events();
        } else if (result instanceof ActResult.Refused refused) {
            events = refused.events();
        }
        for (RecordedEvent event : events) {
            EventId id = event.event().id();
            if (!announced.containsKey(id) || (event.recorded() && !stored.contains(id))) {
                violated(Promise.NOTHING_ANNOUNCED_BEFORE_IT_IS_STORED, "a person was told of " + event);
            }
        }
    }

    /** An id stands for one fact, wherever it is seen. */
    private byte[] fact(StationEvent event) {
        byte[] body = MemoryRecord.bytes(event);
        byte[] known = facts.putIfAbsent(event.id(), body);
        if (known != null && !Arrays.equals(known, body)) {
            violated(Promise.NO_EVENT_ID_TWICE, event + " has the id of " + new String(known, StandardCharsets.UTF_8));
        }
        return body;
    }

    private static @Nullable AlarmId alarm(StationEvent event) {
        return event instanceof StationEvent.OfAlarm ofAlarm ? ofAlarm.event().alarm() : null;
    }

    // ---- control rooms

    void arrived(String room, RecordedEvent recorded) {
        StationEvent event = recorded.event();
        fact(event);
        digest.update((room + ' ' + event.id()).getBytes(StandardCharsets.UTF_8));
        if (!announced.containsKey(event.id())) {
            violated(
                    Promise.NOTHING_ANNOUNCED_BEFORE_IT_IS_STORED, room + " got " + event + ", which nobody announced");
        }
        Arrivals arrivals = Windlow.known(rooms.get(room), room);
        if (!arrivals.wants(event)) {
            violated(Promise.WHAT_IS_FILTERED_IS_NOT_TOLD, room + " got " + event);
        }
        if (!arrivals.got.add(event.id())) {
            return; // at least once
        }
        ArrayDeque<EventId> owed = Windlow.known(arrivals.owed.get(alarm(event)), event.id());
        if (alarm(event) == null) {
            owed.remove(event.id());
            return;
        }
        for (EventId next = owed.poll(); !event.id().equals(next); next = owed.poll()) {
            if (next == null || !excused.contains(next)) {
                violated(Promise.ORDER_KEPT_AT_THE_PEER, room + " got " + event + " before " + next);
            }
        }
    }

    // ---- after every step

    /** Looks at what the disk has got since. */
    void check() {
        rethrow();
        for (MemoryRecord.Row row : store.rowsAfter(storedTo)) {
            if (row.hash().length > 0) {
                chain.update(lastHash);
                lastHash = chain.digest(row.body());
                if (!Arrays.equals(lastHash, row.hash())) {
                    violated(Promise.HASH_CHAIN_VALID, "at position " + row.position());
                }
            }
            StationEvent event = row.event();
            fact(event);
            if (!stored.add(event.id())) {
                violated(Promise.NO_EVENT_ID_TWICE, "stored twice: " + event);
            }
            if (event instanceof StationEvent.OfAlarm ofAlarm
                    && ofAlarm.event().kind() != AlarmEvent.Kind.TEST_FORCED) {
                activeInTheRecord.put(ofAlarm.event().alarm(), ofAlarm.event().active());
            }
            storedTo = row.position();
            storedRows++;
        }
        List<RecordGap> gaps = store.gaps();
        for (; gapsSeen < gaps.size(); gapsSeen++) {
            excuse(gaps.get(gapsSeen));
        }
    }

    private void excuse(RecordGap gap) {
        for (RecordedEvent event : announced.values()) {
            EventId first = gap.first();
            if (first != null
                    && first.incarnation() == event.event().id().incarnation()
                    && event.position() >= gap.from()
                    && event.position() <= gap.to()) {
                excused.add(event.event().id());
            }
        }
    }

    // ---- after quiet time

    void afterQuiet(StationView view, Map<String, ScriptedDevice> devices) {
        check();
        if (!folded.isEmpty()) {
            violated(Promise.EVERYTHING_FOLDED_IS_ANNOUNCED, "never announced: " + folded);
        }
        for (RecordedEvent event : announced.values()) {
            EventId id = event.event().id();
            if (!stored.contains(id) && !excused.contains(id)) {
                violated(Promise.NO_ANNOUNCED_EVENT_LOST, "never stored: " + event);
            }
        }
        rooms.forEach((room, arrivals) -> arrivals.owed.values().forEach(owed -> {
            for (EventId id : owed) {
                if (!excused.contains(id)) {
                    violated(Promise.EVERYTHING_REACHES_THE_PEER, room + " never got " + announced.get(id));
                }
            }
        }));
        Standing left = view.standing();
        if (!left.maintenance().isEmpty()
                || !left.alarmTests().isEmpty()
                || !left.readingTests().isEmpty()) {
            violated(Promise.WHAT_PERSONS_SET_ASIDE_COMES_BACK, "still stands: " + left);
        }
        for (RuleInstance rule : Windlow.STATION.model().rules()) {
            ScriptedDevice device =
                    rule.device() == null ? null : devices.get(rule.device().id());
            StationView.AlarmView alarm = Windlow.known(view.alarms().get(rule.id()), rule.id());
            OutOfService out = alarm.state().outOfService();
            if (out != null && out.reason().contains("maintenance")) {
                violated(Promise.WHAT_PERSONS_SET_ASIDE_COMES_BACK, "still out of service: " + alarm.state());
            }
            boolean ofRate = rule.condition() instanceof Condition.RateOfChange; // how it moved is not how it stands
            if (device == null || ofRate || !alarm.state().enabled()) {
                continue;
            }
            boolean ought = device.ought(rule);
            String last = alarm.state().lastEvent();
            boolean givenUp = !last.isEmpty() && excused.contains(EventId.parse(last));
            boolean recorded = givenUp ? ought : activeInTheRecord.getOrDefault(rule.id(), false);
            if (alarm.state().active() != ought || recorded != ought) {
                violated(
                        Promise.WHAT_HOLDS_IS_ACTIVE_IN_THE_RECORD,
                        rule.id() + " ought to be " + (ought ? "active" : "inactive") + ", is recorded as "
                                + (recorded ? "active" : "inactive") + ": " + alarm.state());
            }
        }
    }
}
