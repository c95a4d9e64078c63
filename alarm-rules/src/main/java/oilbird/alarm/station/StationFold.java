package oilbird.alarm.station;

import java.time.Duration;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import oilbird.alarm.check.GuidedStep.Refused;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.PlainNumber;
import oilbird.alarm.rule.RuleDifference;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Acknowledgement;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.AlarmMachine;
import oilbird.alarm.state.AlarmPolicy;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.AlarmStep;
import oilbird.alarm.state.OutOfService;
import oilbird.alarm.state.Refusal;
import oilbird.alarm.state.Suppression;
import oilbird.alarm.transformer.derived.Kept;
import oilbird.alarm.transformer.derived.LaboratorySample;
import oilbird.alarm.transformer.derived.TransformerComputation;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.alarm.transformer.derived.TransformerSetup;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.signal.StatusWordValue;
import org.jspecify.annotations.Nullable;

/**
 * The whole station as one fold over its inputs. Mutable inside; used by one thread.
 *
 * <p>The same model, restored states and inputs give the same events, byte for byte.
 *
 * <p>One input is worked off in a fixed order: deadlines that have passed, then what the input says of
 * devices and signals, then trust, then the rules whose inputs changed, in the order of the rules.
 */
public final class StationFold {
    // Who takes an alarm out of service where the fold itself does, and may therefore place it back.
    private static final Actor VERIFICATION = new Actor("verification", "rule");
    private static final Actor RULES = new Actor("alarm rules", "rule");
    static final String NOT_VERIFIED = "not verified against the local display";
    private static final String MAINTENANCE = "in maintenance: ";
    private static final String MAINTENANCE_OVER = "maintenance ended";
    private static final String VOIDED = "seen in maintenance, does not count";
    // Longer than any test of one point takes; whoever forgets it leaves the control room blind no longer.
    private static final Duration LONGEST_TEST = Duration.ofHours(1);
    private static final Duration LONGEST_RELEASE = Duration.ofHours(8);
    private static final int LONGEST_COMPARISON = 20;
    // A sample a week for ten years.
    private static final int MOST_LABORATORY_SAMPLES = 520;

    /** Id of the device that is the gateway itself. */
    private static final String GATEWAY_DEVICE = "gateway";

    static final String NO_LOGIC = "the rule suppresses nothing any more";
    static final String NO_RULE = "no rule stands for this alarm any more";

    private static final long FLOOD_WINDOW_NANOS = Duration.ofMinutes(10).toNanos();
    // ISA-18.2-2016, 16.4.4, by public summaries: begins above 10 in 10 minutes, ends below 5.
    private static final int FLOOD_BEGINS_ABOVE = 10;
    private static final int FLOOD_ENDS_BELOW = 5;

    private StationModel model;
    private final String gateway;
    private final long incarnation;
    private long chatterWindowNanos;
    private final Map<String, DeviceTrack> devices = new LinkedHashMap<>();
    private final List<AlarmTrack> alarms = new ArrayList<>();
    private final Map<AlarmId, AlarmTrack> alarmsById = new HashMap<>();
    private final Deadlines deadlines = new Deadlines();
    private final List<Timed> timed = new ArrayList<>();
    /** Numbers of alarms that are gone, to be used again. */
    private final ArrayDeque<Integer> freeTimers = new ArrayDeque<>();

    private final ArrayDeque<Long> annunciated = new ArrayDeque<>();
    /** Memories of alarms that no rule stands for now; a rule that comes back goes on from them. */
    private final Map<AlarmId, AlarmState> orphans = new LinkedHashMap<>();

    private final FeatureStage features;
    private final KeepAways keepAways;
    private final Map<DeviceTrack, List<SharedLoss>> sharedLosses = new LinkedHashMap<>();
    private final StandingTimer standingTimer = new StandingTimer(deadlines.newOwner());
    private final DiagnosisTimer diagnosisTimer = new DiagnosisTimer(deadlines.newOwner());
    private final FaultFindings faultFindings;
    private Diagnosing diagnosing;
    private final StandingOrders orders;
    private final Map<String, TransformerTrack> transformers = new LinkedHashMap<>();
    private final List<TransformerTrack> toDerive = new ArrayList<>();
    private final Memories memories;
    private final StartUpHold startUp;
    /** Newest entry of the journal of changes in access that was recorded. */
    private long journalled;

    private boolean flood;
    private long sequence;
    private Moment last;
    private final StationStep opening;

    // What the present input has brought about so far.
    private List<StationEvent> events = new ArrayList<>();
    private Map<AlarmId, AlarmState> changed = new LinkedHashMap<>();
    private final List<AlarmTrack> queue = new ArrayList<>();

    private StationFold(StationModel model, Past past, String gateway, long incarnation, Moment at) {
        timed.add(standingTimer);
        timed.add(diagnosisTimer);
        this.faultFindings = new FaultFindings(deadlines, devices);
        timed.add(faultFindings);
        this.memories = new Memories(past, at);
        this.model = model;
        this.gateway = gateway;
        this.incarnation = incarnation;
        this.last = at;
        this.chatterWindowNanos = model.settings().chatterWindow().toNanos();
        for (StationFacts.Device device : model.facts().devices()) {
            devices.put(device.id(), track(device, at));
        }
        model.facts().shared().forEach(this::watchForLoss);
        this.startUp = new StartUpHold(model.settings().startUpHold(), deadlines, polled());
        timed.add(startUp);
        startUp.begin(at);
        for (TransformerSetup setup : model.transformers()) {
            transformers.put(setup.asset(), computing(setup, at));
        }
        this.features = new FeatureStage(devices, deadlines, timed, this::made, memories);
        this.orders = new StandingOrders(past.standing(), past.savedAt(), at);
        this.keepAways = new KeepAways(orders, this::keptAway);
        markMaintenance();
        orders.standing().releases().forEach(r -> setReleased(r, true, at));
        devices.values().forEach(this::recall);
        this.journalled = memories.journalledBefore();
        if (journalled != 0) {
            memories.journalled(journalled);
        }
        SignalId self = new SignalId(gateway, "gateway");
        notice(StationEvent.Notice.Kind.GATEWAY_STARTED, self, "incarnation " + incarnation, at);
        notice(
                StationEvent.Notice.Kind.RULES_LOADED,
                self,
                model.rules().size() + " alarms" + (model.rulesVersion().isEmpty() ? "" : ", " + model.rulesVersion()),
                at);
        Map<AlarmId, AlarmState> stored = new LinkedHashMap<>();
        past.states().forEach(s -> stored.put(s.id(), s));
        for (RuleInstance rule : model.rules()) {
            AlarmState state = stored.remove(rule.id());
            AlarmTrack alarm = begin(rule, state, at);
            if (state != null) {
                take(alarm, AlarmMachine.restart(state, past.savedAt(), at, alarm.policy), at);
            }
            if (alarm.rate != null) {
                memories.samplesBefore(alarm, alarm.rate, at.monotonicNanos());
            }
            fit(alarm, at);
        }
        stored.values()
                .forEach(orphan -> setAside(
                        AlarmMachine.restart(orphan, past.savedAt(), at, bare(orphan))
                                .next(),
                        at));
        forceAgain();
        tellStartUp(at);
        faultFindings.library(model.causes());
        faultFindings.restore(past, memories, at);
        memories.forgetTheRest();
        countAgain(past, at);
        deadlines.set(standingTimer.timer, orders.earliest());
        this.diagnosing = diagnosing(at, Diagnosing.PATIENCE_AFTER_START);
        takeUp(orders.standing().diagnoses(), at);
        events.addAll(faultFindings.settle(at, events, diagnosing, memories));
        this.opening = step(null, null);
    }

    /**
     * A fold at the start of a run.
     *
     * @param past as stored by the previous run; {@link Past#NONE} at the first.
     * @param incarnation durably raised at every start and every restore.
     */
    public static StationFold start(StationModel model, Past past, String gatewayId, long incarnation, Moment at) {
        return new StationFold(model, past, gatewayId, incarnation, at);
    }

    /** A fold that goes on from nothing but the states of alarms. */
    public static StationFold start(
            StationModel model,
            List<AlarmState> restored,
            @Nullable Moment savedAt,
            String gatewayId,
            long incarnation,
            Moment at) {
        Past past = new Past(restored, Standing.NONE, List.of(), List.of(), savedAt);
        return start(model, past, gatewayId, incarnation, at);
    }

    /** What the start itself brought about, to be committed before the first input. */
    public StationStep opening() {
        return opening;
    }

    /**
     * Takes one input.
     *
     * @throws IllegalArgumentException if it names a device or block that the model does not have.
     */
    public StationStep apply(StationInput input) {
        Moment at = input.at();
        if (at.monotonicNanos() >= last.monotonicNanos()) {
            last = at;
            passDeadlines(at);
        }
        Refusal refusal = null;
        Refused notTaken = null;
        if (input instanceof StationInput.Observed observed) {
            observe(observed.decoded());
        } else if (input instanceof StationInput.RequestFailed failed) {
            fail(failed);
        } else if (input instanceof StationInput.BeginFaultFinding begin) {
            notTaken = begin(begin);
        } else if (input instanceof StationInput.InFaultFinding said) {
            notTaken = faultFindings.take(said, this::nextId, memories);
        } else if (input instanceof StationInput.Asked asked) {
            refusal = ask(asked);
        } else if (input instanceof StationInput.Noticed noticed) {
            notice(noticed.kind(), noticed.subject(), noticed.text(), noticed.at());
        }
        evaluateQueued(at);
        events.addAll(diagnosing.settle(last));
        events.addAll(faultFindings.settle(last, events, diagnosing, memories));
        return step(refusal, notTaken);
    }

    /** Every piece that a restart needs, as the steps so far have given them. */
    public List<Remembered> remembered() {
        return memories.all();
    }

    /** A picture of the present. Costs time in the order of all signals that changed since the last one. */
    public StationView view() {
        Map<AlarmId, StationView.AlarmView> alarmViews = new LinkedHashMap<>(alarms.size() * 2);
        for (AlarmTrack alarm : alarms) {
            alarmViews.put(alarm.rule.id(), alarm.view(last.monotonicNanos(), chatterWindowNanos));
        }
        Map<String, StationView.DeviceView> deviceViews = new LinkedHashMap<>(devices.size() * 2);
        devices.forEach((id, device) -> deviceViews.put(id, device.view()));
        forgetOldAnnunciations(last.monotonicNanos());
        return new StationView(
                last,
                Collections.unmodifiableMap(alarmViews),
                Collections.unmodifiableMap(deviceViews),
                new StationView.Flood(flood, annunciated.size()),
                orders.standing(),
                proposals(),
                diagnosing.view(),
                pictures(),
                faultFindings.view());
    }

    private Map<String, TransformerPicture> pictures() {
        Map<String, TransformerPicture> pictures = new LinkedHashMap<>();
        transformers.forEach((asset, transformer) -> pictures.put(asset, transformer.computation.picture()));
        return pictures;
    }

    private List<StationView.Proposal> proposals() {
        List<StationView.Proposal> proposals = new ArrayList<>();
        long now = last.monotonicNanos();
        for (AlarmTrack alarm : alarms) {
            int within = alarm.activationsWithin(now, chatterWindowNanos);
            boolean hidden = alarm.state.suppressed() || !alarm.state.enabled();
            if (within >= model.settings().chatterCount() && alarm.policy.shelvingAllowed() && !hidden) {
                proposals.add(new StationView.Proposal(
                        alarm.rule.id(), within, model.settings().chatterWindow(), alarm.policy.maxShelveTime()));
            }
        }
        return proposals;
    }

    // ---- building

    private DeviceTrack track(StationFacts.Device facts, Moment at) {
        DeviceTrack device = new DeviceTrack(facts);
        DeviceKind kind = facts.kind();
        for (DeviceKind.Block block : kind.blocks()) {
            BlockTrack track = new BlockTrack(block.name(), block.period().toNanos());
            device.blocks.put(block.name(), track);
            for (String name : block.signals()) {
                SignalId id = new SignalId(facts.id(), name);
                kind.point(name).ifPresent(point -> {
                    Reading none = new Reading(id, null, null, QualityReason.NOT_YET_READ, at);
                    ReadingTrack reading = new ReadingTrack(id, device, track, point, none);
                    track.readings.add(reading);
                    device.readings.put(name, reading);
                });
                kind.indication(name).ifPresent(indication -> {
                    IndicationTrack told = new IndicationTrack(id, device, track, unread(id, at));
                    told.keepAway = indication.keepAway();
                    told.service = indication.service();
                    track.indications.add(told);
                    device.indications.put(name, told);
                });
            }
        }
        SignalId lost = new SignalId(facts.id(), DeviceKind.COMMUNICATION_LOST);
        device.indications.put(lost.name(), new IndicationTrack(lost, device, null, unread(lost, at)));
        for (Feature feature : kind.features()) {
            SignalId id = new SignalId(facts.id(), feature.indication());
            IndicationTrack made = new IndicationTrack(id, device, null, unread(id, at));
            made.madeByFeature = true;
            kind.indication(id.name()).ifPresent(indication -> {
                made.keepAway = indication.keepAway();
                made.service = indication.service();
            });
            device.indications.put(id.name(), made);
        }
        device.readings.values().forEach(r -> linkCounter(device, r));
        device.blocks.values().forEach(this::giveFreshness);
        kind.indications().forEach(i -> linkDoubts(device, i));
        return device;
    }

    private TransformerTrack computing(TransformerSetup setup, Moment at) {
        TransformerTrack track =
                new TransformerTrack(new TransformerComputation(setup, memories.computed(setup.asset())), at, memories);
        known(devices.get(setup.device()), setup.device(), "").computed = true;
        setup.feeds().forEach((quantity, feed) -> {
            SignalId point = feed.point();
            DeviceTrack device = known(devices.get(point.owner()), point.owner(), point.name());
            track.feed(quantity, known(device.readings.get(point.name()), point.owner(), point.name()), feed.factor());
        });
        fed(track);
        return track;
    }

    /** Gives a device back what was known of it before a restart. */
    private void recall(DeviceTrack device) {
        for (Memories.DoubtBefore before : memories.doubtsBefore(device)) {
            IndicationTrack because = device.indications.get(before.because());
            List<DoubtTrack> doubts = because == null ? List.of() : because.doubts;
            for (DoubtTrack doubt : doubts) {
                if (doubt.reading.id.name().equals(before.reading())) {
                    doubt.phase = before.phase();
                    doubt.until = before.until();
                    doubt.trustedFromAnalysis = before.analysesLeft();
                    boolean byTime = before.phase() == DoubtTrack.Phase.RECOVERING && doubt.reading.counter == null;
                    deadlines.set(doubt.timer, byTime ? before.until() : Deadlines.NEVER);
                }
            }
        }
        device.toldBits.putAll(memories.toldBefore(device));
        memories.madeBefore(device);
        for (ReadingTrack reading : device.readings.values()) {
            if (reading.isCounter) {
                reading.before = memories.analysisBefore(reading.id);
            }
        }
    }

    /** Chattering and floods go on being counted over a restart. */
    private void countAgain(Past past, Moment at) {
        for (StationEvent.OfAlarm event : past.recent()) {
            Long when = past.instant(event, at);
            AlarmTrack alarm = alarmsById.get(event.event().alarm());
            if (when != null && alarm != null) {
                count(alarm, event.event(), when);
            }
        }
        forgetOldAnnunciations(at.monotonicNanos());
    }

    /** A thing that carries traffic is a device of the station too, with its loss as an indication. */
    private void watchForLoss(Shared shared) {
        DeviceTrack thing = devices.get(shared.id());
        if (!SharedLoss.concerns(shared) || thing == null) {
            return;
        }
        List<DeviceTrack> behind = shared.devices().stream()
                .map(id -> known(devices.get(id), id, ""))
                .toList();
        SharedLoss loss = new SharedLoss(
                deadlines,
                this::tell,
                known(thing.indications.get(SharedLoss.LOST), shared.id(), SharedLoss.LOST),
                known(thing.indications.get(SharedLoss.RETURNING), shared.id(), SharedLoss.RETURNING),
                behind);
        timed.add(loss);
        behind.forEach(device ->
                sharedLosses.computeIfAbsent(device, d -> new ArrayList<>()).add(loss));
    }

    private List<SharedLoss> lossesOf(DeviceTrack device) {
        return sharedLosses.getOrDefault(device, List.of());
    }

    private static Indication unread(SignalId id, Moment at) {
        return Indication.cannotBeTold(id, QualityReason.NOT_YET_READ, at);
    }

    private static void linkCounter(DeviceTrack device, ReadingTrack reading) {
        String counter = reading.point.analysisCounter();
        if (counter != null) {
            ReadingTrack counting = known(device.readings.get(counter), device.facts.id(), counter);
            counting.isCounter = true;
            reading.counter = counting;
        }
    }

    private void giveFreshness(BlockTrack block) {
        for (ReadingTrack reading : block.readings) {
            long allowed = allowedAge(reading.point, block);
            if (allowed > 0) {
                List<Freshness> renewedBy = reading.counter == null ? block.renews : reading.counter.renews;
                Freshness freshness = freshness(renewedBy, allowed);
                freshness.readings.add(reading);
                reading.freshness = freshness;
            }
        }
        long allowed = allowedAge(block.periodNanos);
        if (allowed > 0) {
            for (IndicationTrack indication : block.indications) {
                Freshness freshness = freshness(block.renews, allowed);
                freshness.indications.add(indication);
                indication.freshness = freshness;
            }
        }
    }

    private Freshness freshness(List<Freshness> renewed, long allowedNanos) {
        for (Freshness present : renewed) {
            if (present.allowedNanos == allowedNanos) {
                return present;
            }
        }
        Freshness fresh = new Freshness(allowedNanos, deadlines.newOwner());
        timed.add(fresh);
        renewed.add(fresh);
        return fresh;
    }

    /** Nanoseconds; 0 where nothing says how often the value comes. */
    private long allowedAge(DeviceKind.Point point, BlockTrack block) {
        long stated = point.staleAfter().toNanos();
        if (stated == 0) {
            return allowedAge(Math.max(point.updatePeriod().toNanos(), block.periodNanos));
        }
        // Polled more rarely than it may age, it would be stale between any two polls.
        return point.analysisCounter() == null ? Math.max(stated, allowedAge(block.periodNanos)) : stated;
    }

    private long allowedAge(long periodNanos) {
        return periodNanos == 0
                ? 0
                : Math.max(2 * periodNanos, model.settings().leastStaleAge().toNanos());
    }

    private void linkDoubts(DeviceTrack device, DeviceKind.NamedIndication declared) {
        IndicationTrack because = known(device.indications.get(declared.name()), device.facts.id(), declared.name());
        for (DeviceKind.Doubting doubting : declared.doubts()) {
            ReadingTrack reading = known(device.readings.get(doubting.point()), device.facts.id(), doubting.point());
            DoubtTrack doubt = new DoubtTrack(
                    because, reading, doubting.worthless(), doubting.periodsAfter(), deadlines.newOwner());
            timed.add(doubt);
            because.doubts.add(doubt);
            reading.doubts.add(doubt);
            if (reading.counter != null) {
                reading.counter.endsDoubts.add(doubt);
            }
        }
    }

    /** Puts an alarm on the station, with the memories it has so far. */
    private AlarmTrack begin(RuleInstance rule, @Nullable AlarmState stored, Moment at) {
        AlarmPolicy policy = policy(rule.policy());
        AlarmState initial = stored == null ? AlarmState.initial(rule.id(), policy) : stored;
        int timer = freeTimers.isEmpty() ? deadlines.newOwner() : freeTimers.removeFirst();
        AlarmTrack alarm = new AlarmTrack(
                alarms.size(), rule, policy, initial, timer, model.settings().chatterCount());
        if (timer == timed.size()) {
            timed.add(alarm);
        } else {
            timed.set(timer, alarm);
        }
        alarms.add(alarm);
        if (alarmsById.put(rule.id(), alarm) != null) {
            throw new IllegalArgumentException("two rules for the alarm " + rule.id());
        }
        for (SignalId input : rule.inputs()) {
            watch(alarm, input);
        }
        RuleInstance.Suppression suppression = rule.suppression();
        if (suppression != null) {
            suppression.inputs().forEach(input -> watchForSuppression(alarm, input));
        }
        if (rule.device() != null) {
            alarm.about(known(devices.get(rule.device().id()), rule.device().id(), ""));
        }
        return alarm;
    }

    /** Makes suppression and service of an alarm what the rules in force and the maintenance ask for. */
    private void fit(AlarmTrack alarm, Moment at) {
        RuleInstance rule = alarm.rule;
        AlarmPolicy policy = alarm.policy;
        Suppression suppression = alarm.state.suppression();
        boolean noLogic = suppression.logic() && rule.suppression() == null;
        boolean never = suppression.fromOutside() && !policy.suppressionAllowed();
        if (noLogic || never) {
            AlarmInput ended = new AlarmInput.SuppressByDesign(false, NO_LOGIC, at);
            take(alarm, AlarmMachine.step(alarm.state, ended, policy), at);
        }
        OutOfService service = alarm.state.outOfService();
        if (!rule.unverified().isEmpty()) {
            if (service == null) {
                AlarmInput remove = new AlarmInput.RemoveFromService(VERIFICATION, NOT_VERIFIED, "", Duration.ZERO, at);
                take(alarm, AlarmMachine.step(alarm.state, remove, policy), at);
            }
        } else if (service != null
                && (service.by().equals(VERIFICATION) || service.by().equals(RULES))) {
            AlarmInput place = new AlarmInput.PlaceInService(service.by(), "", at);
            take(alarm, AlarmMachine.step(alarm.state, place, policy), at);
        }
        Standing.Maintenance maintenance = orders.standing().covering(alarm.rule, model.facts());
        if (maintenance != null && alarm.state.outOfService() == null) {
            removeForMaintenance(alarm, maintenance, at);
        }
    }

    /** An alarm whose rule is back goes on from memories of before: no maintenance of now has made them. */
    private void foundAgain(AlarmTrack alarm) {
        for (Standing.Maintenance each : orders.standing().maintenance()) {
            if (Standing.covers(each.of(), alarm.rule, model.facts())) {
                orders.found(each.of(), new Standing.Found(alarm.rule.id(), memories(alarm.state)));
            }
        }
    }

    private void watch(AlarmTrack alarm, SignalId input) {
        DeviceTrack device = known(devices.get(input.owner()), input.owner(), input.name());
        Condition condition = alarm.rule.condition();
        ReadingTrack reading = device.readings.get(input.name());
        IndicationTrack indication = device.indications.get(input.name());
        boolean ofReading = condition instanceof Condition.Limited
                || condition instanceof Condition.Overdue
                || condition instanceof Condition.FieldSays;
        if (ofReading || (condition instanceof Condition.Composed && reading != null)) {
            ReadingTrack watched = known(reading, input.owner(), input.name());
            alarm.watch(watched);
            if (condition instanceof Condition.Overdue && watched.freshness != null) {
                watched.freshness.alarms.add(alarm);
            }
        } else {
            alarm.watch(known(indication, input.owner(), input.name()));
        }
    }

    private void watchForSuppression(AlarmTrack alarm, SignalId input) {
        DeviceTrack device = known(devices.get(input.owner()), input.owner(), input.name());
        ReadingTrack reading = device.readings.get(input.name());
        if (reading == null) {
            alarm.suppressedBy(known(device.indications.get(input.name()), input.owner(), input.name()));
        } else {
            alarm.suppressedBy(reading);
        }
    }

    /** An alarm that stood when its rule was deleted must leave the control room's list, and say why. */
    private void setAside(AlarmState orphan, Moment at) {
        orphans.put(orphan.id(), orphan);
        if (!orphan.unfinished() || !orphan.enabled() || orphan.outOfService() != null) {
            return;
        }
        AlarmPolicy bare = bare(orphan);
        AlarmStep removed = AlarmMachine.step(
                orphan, new AlarmInput.RemoveFromService(RULES, NO_RULE, "", Duration.ZERO, at), bare);
        AlarmState next = removed.next();
        for (AlarmEvent event : removed.events()) {
            EventId id = nextId();
            events.add(new StationEvent.OfAlarm(id, event, List.of()));
            next = next.withLastEvent(id.toString());
        }
        orphans.put(next.id(), next);
        changed.put(next.id(), next);
    }

    /** Behaviour of an alarm whose rule nobody knows any more. */
    private static AlarmPolicy bare(AlarmState orphan) {
        return new AlarmPolicy(
                AlarmClass.SYSTEM,
                orphan.priority(),
                Duration.ZERO,
                Duration.ZERO,
                1,
                1,
                false,
                Acknowledgement.BY_PERSON,
                Duration.ZERO,
                true,
                Duration.ofHours(1),
                true);
    }

    private AlarmPolicy policy(AlarmPolicy written) {
        boolean byRule = model.settings().acknowledgementOwner() == StationModel.AcknowledgementOwner.CONTROL_ROOM;
        return !byRule
                ? written
                : new AlarmPolicy(
                        written.alarmClass(),
                        written.priority(),
                        written.onDelay(),
                        written.offDelay(),
                        written.onSamples(),
                        written.offSamples(),
                        written.latching(),
                        Acknowledgement.BY_RULE,
                        written.confirmation(),
                        written.reAlarmTime(),
                        written.shelvingAllowed(),
                        written.maxShelveTime(),
                        written.suppressionAllowed());
    }

    private static <T> T known(@Nullable T found, String owner, String name) {
        if (found == null) {
            throw new IllegalArgumentException("the station has no " + owner + "/" + name);
        }
        return found;
    }

    // ---- time

    private void passDeadlines(Moment at) {
        for (int owner = deadlines.takeDue(at.monotonicNanos());
                owner >= 0;
                owner = deadlines.takeDue(at.monotonicNanos())) {
            Timed due = timed.get(owner);
            if (due instanceof Freshness freshness) {
                grow(freshness, at.monotonicNanos());
            } else if (due instanceof DoubtTrack doubt) {
                end(doubt);
            } else if (due instanceof StartUpHold) {
                endStartUp(at);
            } else if (due instanceof SharedLoss loss) {
                loss.due(at);
            } else if (due instanceof StandingTimer) {
                passStanding(at);
            } else if (due instanceof DiagnosisTimer) {
                diagnosing.wake(at);
            } else if (due instanceof FaultFindings) {
                // Looked at once the input is worked off.
                continue;
            } else if (due instanceof FeatureTrack feature) {
                features.queue(feature);
            } else if (due instanceof AlarmTrack alarm) {
                take(alarm, AlarmMachine.step(alarm.state, new AlarmInput.Elapsed(at), alarm.policy), at);
            }
            // A later deadline must find what an earlier one has changed.
            evaluateQueued(at);
        }
    }

    /** Renewals do not move the deadline, which keeps them cheap; it moves when it is reached. */
    private void grow(Freshness freshness, long now) {
        long staleAt = freshness.staleAt();
        if (now < staleAt) {
            deadlines.set(freshness.timer, staleAt);
        } else {
            freshness.stale = true;
            refreshAll(freshness);
        }
    }

    private void renew(Freshness freshness, long now) {
        freshness.renewedAt = now;
        if (!freshness.known || freshness.stale) {
            freshness.known = true;
            freshness.stale = false;
            deadlines.set(freshness.timer, freshness.staleAt());
            refreshAll(freshness);
        }
    }

    private void refreshAll(Freshness freshness) {
        freshness.readings.forEach(this::refresh);
        freshness.indications.forEach(this::refresh);
        freshness.alarms.forEach(this::enqueue);
    }

    // ---- signals

    private void observe(Decoded decoded) {
        DeviceTrack device = known(devices.get(decoded.device()), decoded.device(), "");
        BlockTrack block = known(device.blocks.get(decoded.block()), decoded.device(), decoded.block());
        Moment at = decoded.at();
        if (at.monotonicNanos() < block.answeredAt) {
            return;
        }
        // Delivered twice it is one sample; what it says is taken all the same.
        boolean sample = at.monotonicNanos() != block.answeredAt;
        block.answeredAt = at.monotonicNanos();
        if (decoded.raw() != null) {
            block.raw = decoded.raw();
            block.rawAt = at;
        }
        block.uselessAnswers = 0;
        answered(device, at);
        if (block.failure != QualityReason.NONE) {
            block.failure = QualityReason.NONE;
            refreshAll(block);
        }
        device.touched();
        for (int i = 0; i < block.renews.size(); i++) {
            renew(block.renews.get(i), at.monotonicNanos());
        }
        boolean inMaintenance = device.inMaintenance && !device.computed;
        boolean madeOtherwise = sample && block.madeInMaintenance != inMaintenance;
        if (madeOtherwise) {
            block.madeInMaintenance = inMaintenance;
        }
        takeIndications(device, block, decoded.indications(), sample, madeOtherwise);
        block.madeInService = sample ? device.serviced : block.madeInService;
        takeReadings(device, block, decoded.readings(), at.monotonicNanos(), sample, madeOtherwise);
        for (StatusWordValue word : decoded.words()) {
            takeWord(device, word);
        }
    }

    /**
     * @param madeOtherwise the answer before was made in maintenance and this one was not, or the other way round.
     */
    private void takeIndications(
            DeviceTrack device, BlockTrack block, List<Indication> told, boolean sample, boolean madeOtherwise) {
        if (block.indicationOrder.length != told.size()) {
            block.indicationOrder = new IndicationTrack[told.size()];
        }
        IndicationTrack[] order = block.indicationOrder;
        for (int i = 0; i < order.length; i++) {
            Indication indication = told.get(i);
            IndicationTrack track = order[i];
            if (track == null || !track.id.equals(indication.id())) {
                track = indication(device, block, indication);
                order[i] = track;
            }
            boolean news = madeOtherwise
                    || track.raw.state() != indication.state()
                    || track.raw.reason() != indication.reason();
            track.raw = indication;
            if (news) {
                refresh(track);
            } else if (track.now.state() != IndicationState.CANNOT_BE_TOLD) {
                track.now = track.compute();
            }
            if (sample) {
                sample(track.sampled);
            }
        }
    }

    private void takeReadings(
            DeviceTrack device, BlockTrack block, List<Reading> read, long now, boolean sample, boolean madeOtherwise) {
        if (block.readingOrder.length != read.size()) {
            block.readingOrder = new ReadingTrack[read.size()];
        }
        ReadingTrack[] order = block.readingOrder;
        // Counters first: a value belongs to the analysis that its counter stands at in the same answer.
        for (int i = 0; i < order.length; i++) {
            Reading reading = read.get(i);
            ReadingTrack track = order[i];
            if (track == null || !track.id.equals(reading.id())) {
                track = reading(device, block, reading);
                order[i] = track;
            }
            if (track.isCounter) {
                count(track, reading, now);
            }
        }
        for (int i = 0; i < order.length; i++) {
            take(order[i], read.get(i), now, sample, madeOtherwise);
        }
    }

    /** A signal that no rule can speak of, such as the value of a bit field, is shown all the same. */
    private static ReadingTrack reading(DeviceTrack device, BlockTrack block, Reading received) {
        return device.readings.computeIfAbsent(received.id().name(), name -> {
            DeviceKind.Point point = new DeviceKind.Point(name, name, "", "", null, Duration.ZERO, Duration.ZERO, null);
            ReadingTrack track = new ReadingTrack(received.id(), device, block, point, received);
            track.reason = received.reason();
            block.readings.add(track);
            return track;
        });
    }

    private static IndicationTrack indication(DeviceTrack device, BlockTrack block, Indication received) {
        return device.indications.computeIfAbsent(received.id().name(), name -> {
            IndicationTrack track = new IndicationTrack(received.id(), device, block, received);
            block.indications.add(track);
            return track;
        });
    }

    private void count(ReadingTrack counter, Reading reading, long now) {
        Double count = reading.number();
        if (count == null || reading.reason().quality() == Quality.BAD) {
            return;
        }
        Memories.AnalysisBefore before = counter.before;
        counter.before = null;
        if (before != null && count == before.count()) {
            // The analysis of before the restart: no younger by it.
            counter.counted = count;
            counter.countedAt = last.plusNanos(before.at() - last.monotonicNanos());
            counter.renews.forEach(f -> renew(f, before.at()));
        } else if (!count.equals(counter.counted)) {
            counter.counted = count;
            counter.analyses++;
            counter.countedAt = reading.at();
            memories.counted(counter, count, now);
            counter.renews.forEach(f -> renew(f, now));
            for (DoubtTrack doubt : counter.endsDoubts) {
                if (doubt.phase == DoubtTrack.Phase.RECOVERING) {
                    memories.doubts(doubt.because.device);
                    if (counter.analyses >= doubt.trustedFromAnalysis) {
                        end(doubt);
                    }
                }
            }
        }
    }

    private void take(ReadingTrack track, Reading reading, long now, boolean sample, boolean madeOtherwise) {
        Reading before = track.raw;
        track.raw = reading;
        ReadingTrack counter = track.counter;
        boolean newSample = counter == null ? sample : counter.analyses != track.analysis;
        boolean countsOtherwise = counter == null ? madeOtherwise : newSample && track.analysed();
        if (counter != null && countsOtherwise) {
            memories.made(track.device);
        }
        if (before.reason() != reading.reason() || countsOtherwise) {
            refresh(track);
        }
        if (counter != null) {
            track.analysis = counter.analyses;
            track.analysedAt = counter.countedAt;
            Freshness freshness = track.freshness;
            if (freshness != null && !freshness.known) {
                // Its counter has said nothing yet: the value may be old, but is new to us.
                renew(freshness, now);
            }
        }
        fed(track);
        if (newSample || counter == track) {
            features.sampled(track);
        }
        if (!track.supports.isEmpty() && !Objects.equals(before.number(), reading.number())) {
            diagnosing.changed(track.supports);
        }
        if (!track.usedByAlarms()) {
            return;
        }
        if (newSample) {
            sample(track.sampled);
        }
        if (!Objects.equals(before.number(), reading.number()) || !Objects.equals(before.text(), reading.text())) {
            track.sampled.forEach(this::enqueue);
            track.consulted.forEach(this::enqueue);
        }
    }

    private void takeWord(DeviceTrack device, StatusWordValue word) {
        String name = word.id().name();
        device.words.put(name, word);
        if (word.undocumented() == 0) {
            return;
        }
        long told = device.toldBits.getOrDefault(name, 0L);
        long news = word.undocumented() & ~told;
        if (news != 0) {
            device.toldBits.put(name, told | news);
            memories.told(word.id(), told | news);
            for (int bit = 0; bit < 64; bit++) {
                if ((news >>> bit & 1) == 1) {
                    notice(
                            StationEvent.Notice.Kind.UNDOCUMENTED_BIT,
                            word.id(),
                            "bit " + bit + " is set; word 0x" + Long.toHexString(word.bits()),
                            word.at());
                }
            }
        }
    }

    /** A new sample of what these alarms watch; those that count samples or delays must hear of it. */
    private void sample(List<AlarmTrack> watching) {
        for (int i = 0; i < watching.size(); i++) {
            AlarmTrack alarm = watching.get(i);
            alarm.newSample = true;
            if (alarm.wantsEverySample || alarm.everySample) {
                enqueue(alarm);
            }
        }
    }

    private void refreshAll(BlockTrack block) {
        block.readings.forEach(this::refresh);
        block.indications.forEach(this::refresh);
        for (Freshness freshness : block.renews) {
            freshness.alarms.forEach(this::enqueue);
        }
        for (ReadingTrack reading : block.readings) {
            if (reading.freshness != null) {
                reading.freshness.alarms.forEach(this::enqueue);
            }
        }
    }

    private void refresh(ReadingTrack reading) {
        QualityReason now = reading.reasonNow();
        // Doubts are part of the picture even where another reason outweighs them.
        reading.device.touched();
        features.queue(reading.features);
        if (!reading.supports.isEmpty()) {
            diagnosing.changed(reading.supports);
        }
        if (now != reading.reason) {
            reading.reason = now;
            fed(reading);
            reading.sampled.forEach(this::enqueue);
            reading.consulted.forEach(this::enqueue);
        }
    }

    private void refresh(IndicationTrack indication) {
        Indication before = indication.now;
        indication.now = indication.compute();
        indication.device.touched();
        if (indication.service) {
            serviced(indication.device);
        }
        if (before.state() != indication.now.state()) {
            features.queue(indication.features);
            for (DoubtTrack doubt : indication.doubts) {
                doubt(doubt, indication.now);
            }
        }
        if (before.state() != indication.now.state() || before.reason() != indication.now.reason()) {
            indication.sampled.forEach(this::enqueue);
            indication.consulted.forEach(this::enqueue);
        }
        tellOn(indication);
    }

    /** Looks whether a device says of itself that it is being serviced; what cannot be told is as it was. */
    private void serviced(DeviceTrack device) {
        boolean serviced = false;
        for (IndicationTrack each : device.indications.values()) {
            IndicationState state = each.now.state();
            serviced |= each.service
                    && (state == IndicationState.HOLDS || (state == IndicationState.CANNOT_BE_TOLD && device.serviced));
        }
        if (serviced != device.serviced) {
            device.serviced = serviced;
            memories.made(device);
            device.readings.values().forEach(this::fed);
        }
    }

    /** What keep-away and diagnosis make of an indication. */
    private void tellOn(IndicationTrack indication) {
        SignTrack sign = indication.sign;
        if (sign != null) {
            diagnosing.changed(sign, last);
        }
        if (!indication.supports.isEmpty()) {
            diagnosing.changed(indication.supports);
        }
        if (indication.keepAway) {
            String asset = indication.device.facts.asset();
            String reason = "indication " + indication.id;
            switch (indication.now.state()) {
                case HOLDS -> keepAways.holds(asset, reason, last);
                case DOES_NOT_HOLD -> keepAways.isGone(asset, reason);
                case CANNOT_BE_TOLD -> {
                    // bad data neither raises it nor takes a reason away
                }
            }
        }
    }

    private void made(IndicationTrack byFeature) {
        refresh(byFeature);
        sample(byFeature.sampled);
    }

    // ---- trust

    private void doubt(DoubtTrack doubt, Indication told) {
        switch (told.state()) {
            case HOLDS -> into(doubt, DoubtTrack.Phase.IN_DOUBT);
            case CANNOT_BE_TOLD -> {
                // No better than it was: what was recovering waits for the indication to be told again.
                if (doubt.phase == DoubtTrack.Phase.RECOVERING) {
                    into(doubt, DoubtTrack.Phase.IN_DOUBT);
                }
            }
            case DOES_NOT_HOLD -> {
                if (doubt.phase == DoubtTrack.Phase.IN_DOUBT) {
                    recover(doubt);
                }
            }
        }
    }

    private void recover(DoubtTrack doubt) {
        ReadingTrack reading = doubt.reading;
        if (doubt.periodsAfter == 0) {
            end(doubt);
        } else if (reading.counter != null) {
            doubt.trustedFromAnalysis = reading.counter.analyses + doubt.periodsAfter;
            into(doubt, DoubtTrack.Phase.RECOVERING);
        } else {
            long period = Math.max(reading.point.updatePeriod().toNanos(), reading.block.periodNanos);
            doubt.until = last.monotonicNanos() + period * doubt.periodsAfter;
            into(doubt, DoubtTrack.Phase.RECOVERING);
            deadlines.set(doubt.timer, doubt.until);
        }
    }

    private void end(DoubtTrack doubt) {
        into(doubt, DoubtTrack.Phase.NONE);
    }

    private void into(DoubtTrack doubt, DoubtTrack.Phase phase) {
        if (doubt.phase != phase) {
            doubt.phase = phase;
            deadlines.set(doubt.timer, Deadlines.NEVER);
            memories.doubts(doubt.because.device);
            refresh(doubt.reading);
        }
    }

    // ---- communication

    private void answered(DeviceTrack device, Moment at) {
        for (BlockTrack block : device.blocks.values()) {
            block.silentSinceAnswer = false;
        }
        IndicationTrack lost = communicationLost(device);
        if (device.lost) {
            device.lost = false;
            device.otherProduct = false;
            notice(StationEvent.Notice.Kind.DEVICE_BACK, lost.id, "answers again", at);
        }
        tell(lost, IndicationState.DOES_NOT_HOLD, at);
        for (SharedLoss loss : lossesOf(device)) {
            loss.answered(device, at);
        }
        if (startUp.answered(device, at)) {
            endStartUp(at);
        } else {
            tellStartUp(at);
        }
    }

    // ---- start-up

    /** Devices behind a line: not the gateway itself, nor what is shared or computed. */
    private Set<DeviceTrack> polled() {
        Set<String> others = new LinkedHashSet<>(List.of(GATEWAY_DEVICE));
        model.facts().shared().forEach(s -> others.add(s.id()));
        model.transformers().forEach(t -> others.add(t.device()));
        Set<DeviceTrack> polled = new LinkedHashSet<>();
        devices.forEach((id, device) -> {
            if (!others.contains(id)) {
                polled.add(device);
            }
        });
        return polled;
    }

    private void endStartUp(Moment at) {
        List<String> silent = startUp.silent();
        List<AlarmTrack> waited = startUp.end();
        if (startUp.worthTelling(at)) {
            notice(
                    StationEvent.Notice.Kind.START_UP_OVER,
                    new SignalId(gateway, "gateway"),
                    waited.size() + " alarms waited"
                            + (silent.isEmpty() ? "" : "; silent: " + String.join(", ", silent)),
                    at);
        }
        tellStartUp(at);
        for (AlarmTrack alarm : waited) {
            alarm.stateChangedOtherwise();
            enqueue(alarm);
        }
    }

    private void tellStartUp(Moment at) {
        DeviceTrack self = devices.get(GATEWAY_DEVICE);
        IndicationTrack starting = self == null ? null : self.indications.get(StartUpHold.STARTING_UP);
        if (starting != null && starting.raw.state() != startUp.told()) {
            tell(starting, startUp.told(), at);
        }
    }

    private void fail(StationInput.RequestFailed failed) {
        DeviceTrack device = known(devices.get(failed.device()), failed.device(), "");
        Moment at = failed.at();
        BlockTrack block = failed.block().isEmpty()
                ? null
                : known(device.blocks.get(failed.block()), failed.device(), failed.block());
        if (device.released || (block != null && at.monotonicNanos() < block.answeredAt)) {
            return;
        }
        device.answersSomehow =
                failed.reason() == QualityReason.OTHER_PRODUCT || failed.reason() == QualityReason.REFUSED_BY_DEVICE;
        if (failed.reason() == QualityReason.OTHER_PRODUCT) {
            if (!device.otherProduct) {
                device.otherProduct = true;
                notice(StationEvent.Notice.Kind.OTHER_PRODUCT, communicationLost(device).id, failed.detail(), at);
            }
            device.blocks.values().forEach(b -> failBlock(b, failed.reason()));
            lose(device, failed.detail(), at);
        } else if (failed.reason() == QualityReason.UNREACHABLE) {
            boolean again = block == null || block.silentSinceAnswer;
            if (block != null) {
                block.silentSinceAnswer = true;
                failBlock(block, failed.reason());
            }
            if (again || device.lost || device.blocks.values().stream().allMatch(b -> b.silentSinceAnswer)) {
                device.blocks.values().forEach(b -> failBlock(b, failed.reason()));
                lose(device, failed.detail(), at);
            }
        } else {
            failWithAnswer(device, block, failed);
        }
    }

    /** The device said something, only nothing that can be used. */
    private void failWithAnswer(DeviceTrack device, @Nullable BlockTrack block, StationInput.RequestFailed failed) {
        boolean again = block == null || block.uselessAnswers > 0;
        if (block == null) {
            device.blocks.values().forEach(b -> failBlock(b, failed.reason()));
        } else {
            block.uselessAnswers++;
            failBlock(block, failed.reason());
        }
        if (failed.reason() == QualityReason.REFUSED_BY_DEVICE) {
            device.blocks.values().forEach(b -> b.silentSinceAnswer = false);
        }
        if (again && device.blocks.values().stream().allMatch(b -> b.failure != QualityReason.NONE)) {
            lose(device, failed.detail(), failed.at());
        }
    }

    private void lose(DeviceTrack device, String detail, Moment at) {
        IndicationTrack lost = communicationLost(device);
        if (!device.lost) {
            device.lost = true;
            startUp.lost();
            notice(StationEvent.Notice.Kind.DEVICE_LOST, lost.id, detail, at);
        }
        boolean withheld = false;
        for (SharedLoss loss : lossesOf(device)) {
            withheld |= loss.withholds(device, at);
        }
        if (!withheld) {
            tell(lost, IndicationState.HOLDS, at);
        }
    }

    private void failBlock(BlockTrack block, QualityReason reason) {
        if (block.failure != reason) {
            block.failure = reason;
            refreshAll(block);
        }
    }

    private static IndicationTrack communicationLost(DeviceTrack device) {
        return known(
                device.indications.get(DeviceKind.COMMUNICATION_LOST),
                device.facts.id(),
                DeviceKind.COMMUNICATION_LOST);
    }

    private void tell(IndicationTrack synthetic, IndicationState state, Moment at) {
        if (synthetic.raw.state() != state) {
            synthetic.raw = Indication.of(synthetic.id, state == IndicationState.HOLDS, at);
            refresh(synthetic);
        }
        sample(synthetic.sampled);
    }

    // ---- computations

    private void fed(ReadingTrack reading) {
        for (int i = 0; i < reading.feeds.size(); i++) {
            fed(reading.feeds.get(i));
        }
    }

    private void fed(TransformerTrack transformer) {
        if (!transformer.fed) {
            transformer.fed = true;
            toDerive.add(transformer);
        }
    }

    /** Points and indications computed from what has changed come in like the answers of a device. */
    private void derive() {
        for (int i = 0; i < toDerive.size(); i++) {
            TransformerTrack transformer = toDerive.get(i);
            transformer.fed = false;
            transformer.compute(last).forEach(this::observe);
        }
        toDerive.clear();
    }

    private @Nullable Refusal enter(StationInput.EnterSample enter) {
        TransformerTrack transformer = transformers.get(enter.asset());
        GasSample sample = enter.sample();
        if (transformer == null) {
            return Refusal.NOTHING_COMPUTED;
        }
        if (sample.at().toEpochMilli() > enter.at().wallMillis()) {
            return Refusal.SAMPLE_AHEAD;
        }
        if (transformer.computation.laboratorySample(sample.source().id(), sample.at()) != null) {
            return Refusal.SAMPLE_KNOWN;
        }
        if (transformer.computation.picture().laboratory().size() >= MOST_LABORATORY_SAMPLES) {
            return Refusal.SAMPLES_FULL;
        }
        transformer.computation.enter(
                new LaboratorySample(sample, enter.by(), enter.at().wallMillis(), enter.reference()));
        transformer.laboratoryTold = false;
        fed(transformer);
        notice(
                StationEvent.Notice.Kind.SAMPLE_ENTERED,
                new SignalId(enter.asset(), "laboratory"),
                said(enter.by()) + ": " + described(sample)
                        + (enter.reference().isEmpty() ? "" : "; " + enter.reference()),
                enter.at());
        return null;
    }

    private static String described(GasSample sample) {
        List<String> gases = new ArrayList<>();
        sample.gases().forEach((gas, known) -> {
            String value = PlainNumber.of(known.nominalPpm());
            if (known instanceof Concentration.BelowDetection below) {
                value = "below " + PlainNumber.of(below.limitPpm());
            } else if (known instanceof Concentration.Saturated) {
                value = "at least " + value;
            }
            gases.add(gas.words() + " " + value + " ppm");
        });
        return sample.source().id() + ", sampled " + sample.at() + ": " + String.join(", ", gases);
    }

    private @Nullable Refusal withdraw(StationInput.WithdrawSample withdraw) {
        TransformerTrack transformer = transformers.get(withdraw.asset());
        if (transformer == null) {
            return Refusal.NOTHING_COMPUTED;
        }
        LaboratorySample sample = transformer.computation.laboratorySample(withdraw.laboratory(), withdraw.sampledAt());
        if (sample == null) {
            return Refusal.SAMPLE_UNKNOWN;
        }
        transformer.computation.withdraw(sample);
        transformer.laboratoryTold = false;
        fed(transformer);
        notice(
                StationEvent.Notice.Kind.SAMPLE_WITHDRAWN,
                new SignalId(withdraw.asset(), "laboratory"),
                said(withdraw.by()) + ": " + described(sample.sample()),
                withdraw.at());
        return null;
    }

    // ---- alarms

    private void enqueue(AlarmTrack alarm) {
        if (!alarm.queued) {
            alarm.queued = true;
            queue.add(alarm);
        }
    }

    private void evaluateQueued(Moment at) {
        features.settle(at);
        derive();
        if (queue.isEmpty()) {
            return;
        }
        if (queue.size() > 1) {
            queue.sort(Comparator.comparingInt(a -> a.order));
        }
        for (int i = 0; i < queue.size(); i++) {
            AlarmTrack alarm = queue.get(i);
            alarm.queued = false;
            suppress(alarm, at);
            alarm.evaluate();
            if (alarm.worthTelling() && !startUp.holdsBack(alarm)) {
                alarm.evidence = alarm.describe();
                AlarmInput evaluated =
                        new AlarmInput.Evaluated(alarm.condition, alarm.quality, alarm.priority, alarm.evidence, at);
                AlarmStep step = AlarmMachine.step(alarm.state, evaluated, alarm.policy);
                take(alarm, step, at);
                alarm.wasTold();
            }
            if (alarm.rate != null) {
                memories.sampled(alarm, alarm.rate);
            }
            alarm.newSample = false;
            SignTrack sign = alarm.sign;
            if (sign != null) {
                diagnosing.changed(sign, at);
            }
        }
        queue.clear();
    }

    private @Nullable Refusal ask(StationInput.Asked asked) {
        if (asked instanceof StationInput.Act act) {
            return act(act);
        } else if (asked instanceof StationInput.BeginMaintenance begin) {
            return begin(begin);
        } else if (asked instanceof StationInput.EndMaintenance end) {
            return end(end);
        } else if (asked instanceof StationInput.TestAlarm test) {
            return test(test);
        } else if (asked instanceof StationInput.TestReading test) {
            return test(test);
        } else if (asked instanceof StationInput.EndAlarmTest end) {
            return end(end);
        } else if (asked instanceof StationInput.EndReadingTest end) {
            return end(end);
        } else if (asked instanceof StationInput.BeginRelease begin) {
            return begin(begin);
        } else if (asked instanceof StationInput.EndRelease end) {
            return end(end);
        } else if (asked instanceof StationInput.ReleaseKeepAway release) {
            return model.facts().asset(release.asset()).isEmpty()
                    ? Refusal.NOTHING_OF_THAT_NAME
                    : keepAways.release(release);
        } else if (asked instanceof StationInput.RulesLoaded loaded) {
            return load(loaded);
        } else if (asked instanceof StationInput.EnterSample enter) {
            return enter(enter);
        } else if (asked instanceof StationInput.WithdrawSample withdraw) {
            return withdraw(withdraw);
        } else if (asked instanceof StationInput.Accessed accessed) {
            accessed(accessed);
            return null;
        } else if (asked instanceof StationInput.TestLink test) {
            notice(
                    StationEvent.Notice.Kind.LINK_TESTED,
                    new SignalId(GATEWAY_DEVICE, test.link()),
                    "test message, asked for by " + test.by().name() + " ("
                            + test.by().door() + ")",
                    test.at());
            return null;
        }
        throw new IllegalStateException("nothing known of " + asked);
    }

    // ---- access

    /** An entry of the journal of changes comes again after a restart, and is recorded once. */
    private void accessed(StationInput.Accessed of) {
        if (of.entry() != 0) {
            if (of.entry() <= journalled) {
                return;
            }
            if (of.previous() > journalled) {
                events.add(new StationEvent.Accessed(
                        nextId(),
                        StationEvent.Accessed.Kind.ENTRIES_MISSING,
                        "",
                        new Actor("journal", "rule"),
                        "",
                        "changes after entry " + journalled + " up to entry " + of.previous() + " are not known",
                        1,
                        of.at()));
            }
            journalled = of.entry();
            memories.journalled(journalled);
        }
        events.add(new StationEvent.Accessed(
                nextId(), of.kind(), of.about(), of.by(), of.address(), of.text(), of.times(), of.at()));
    }

    // ---- maintenance

    private @Nullable Refusal begin(StationInput.BeginMaintenance begin) {
        if (!knows(begin.of())) {
            return Refusal.NOTHING_OF_THAT_NAME;
        }
        if (orders.standing().of(begin.of()) != null) {
            return Refusal.ALREADY_IN_MAINTENANCE;
        }
        if (begin.duration().isZero() || begin.duration().isNegative()) {
            return Refusal.MAINTENANCE_TIME;
        }
        Moment at = begin.at();
        Standing.Maintenance maintenance = orders.begin(begin, before(begin.of()), found(begin.of()));
        notice(
                StationEvent.Notice.Kind.MAINTENANCE_BEGUN,
                new SignalId(begin.of(), "maintenance"),
                said(begin.by()) + ": " + begin.reason() + "; permit " + begin.permit() + "; for " + begin.duration(),
                at);
        markMaintenance();
        evaluateQueued(at); // so that what is told of the alarms has the quality of maintenance
        for (AlarmTrack alarm : alarms) {
            if (Standing.covers(maintenance.of(), alarm.rule, model.facts()) && alarm.state.outOfService() == null) {
                removeForMaintenance(alarm, maintenance, at);
            }
        }
        deadlines.set(standingTimer.timer, orders.earliest());
        return null;
    }

    private boolean knows(String deviceOrAsset) {
        return devices.containsKey(deviceOrAsset)
                || model.facts().asset(deviceOrAsset).isPresent();
    }

    private static String said(Actor by) {
        return by.name() + " (" + by.door() + ")";
    }

    private void removeForMaintenance(AlarmTrack alarm, Standing.Maintenance maintenance, Moment at) {
        AlarmInput remove = new AlarmInput.RemoveFromService(
                maintenance.by(), MAINTENANCE + maintenance.reason(), maintenance.permit(), Duration.ZERO, at);
        take(alarm, AlarmMachine.step(alarm.state, remove, alarm.policy), at);
        alarm.stateChangedOtherwise();
        orders.took(maintenance.of(), alarm.rule.id());
    }

    /** Tells every device whether it is in maintenance. */
    private void markMaintenance() {
        for (DeviceTrack device : devices.values()) {
            boolean now = orders.standing().covering(device.facts) != null;
            if (now != device.inMaintenance) {
                device.inMaintenance = now;
                device.readings.values().forEach(this::refresh);
                device.readings.values().forEach(this::fed);
                device.indications.values().forEach(this::refresh);
            }
        }
    }

    private List<DeviceTrack> devicesOf(String id) {
        return devices.values().stream()
                .filter(d -> d.facts.id().equals(id) || d.facts.asset().equals(id))
                .toList();
    }

    private List<Standing.Before> before(String of) {
        List<Standing.Before> before = new ArrayList<>();
        for (DeviceTrack device : devicesOf(of)) {
            for (ReadingTrack reading : device.readings.values()) {
                Double number = reading.raw.number();
                if (number != null && reading.reason.quality() != Quality.BAD && !reading.isCounter) {
                    before.add(new Standing.Before(reading.id, number));
                }
            }
        }
        return before;
    }

    /** Alarms that are not normal before a maintenance. */
    private List<Standing.Found> found(String of) {
        List<Standing.Found> found = new ArrayList<>();
        for (AlarmTrack alarm : alarms) {
            if (!Standing.covers(of, alarm.rule, model.facts())) {
                continue;
            }
            // What another maintenance that still goes on has made of it is no memory of before.
            Standing.Maintenance earlier = orders.standing().covering(alarm.rule, model.facts());
            AlarmInput.Before memories = earlier == null
                    ? memories(alarm.state)
                    : earlier.memories(alarm.rule.id(), alarm.policy.priority());
            if (memories.active() || memories.latched() || !memories.acknowledged() || !memories.confirmed()) {
                found.add(new Standing.Found(alarm.rule.id(), memories));
            }
        }
        return found;
    }

    private static AlarmInput.Before memories(AlarmState state) {
        return new AlarmInput.Before(
                state.active(), state.acknowledged(), state.confirmed(), state.latched(), state.priority());
    }

    /**
     * Voids what values of a maintenance have made of the alarms that it covered. An alarm that is told by what counts
     * at the end is left as it is; what was active before stays active.
     */
    private void voidEvidence(Standing.Maintenance over, Moment at) {
        for (AlarmTrack alarm : alarms) {
            boolean covered = Standing.covers(over.of(), alarm.rule, model.facts());
            if (!covered || orders.standing().covering(alarm.rule, model.facts()) != null) {
                continue;
            }
            if (alarm.condition != IndicationState.HOLDS) {
                AlarmInput.Before before = over.memories(alarm.rule.id(), alarm.policy.priority());
                AlarmInput voided = new AlarmInput.EvidenceVoided(before, VOIDED, at);
                take(alarm, AlarmMachine.step(alarm.state, voided, alarm.policy), at);
                alarm.voidEvidence();
            }
        }
    }

    private @Nullable Refusal end(StationInput.EndMaintenance end) {
        Standing.Maintenance over = orders.standing().of(end.of());
        if (over == null) {
            return knows(end.of()) ? Refusal.NOT_IN_MAINTENANCE : Refusal.NOTHING_OF_THAT_NAME;
        }
        Moment at = end.at();
        String compared = comparison(over);
        orders.end(over);
        markMaintenance();
        notice(
                StationEvent.Notice.Kind.MAINTENANCE_ENDED,
                new SignalId(end.of(), "maintenance"),
                said(end.by()) + (end.comment().isEmpty() ? "" : ": " + end.comment()) + "; " + compared,
                at);
        evaluateQueued(at); // so that only what counts is left of what was seen
        voidEvidence(over, at);
        for (AlarmId id : over.taken()) {
            AlarmTrack alarm = alarmsById.get(id);
            if (alarm != null) {
                release(alarm, over, end.by(), at);
            }
        }
        deadlines.set(standingTimer.timer, orders.earliest());
        return null;
    }

    /** Places an alarm in service again, unless somebody or something else keeps it out. */
    private void release(AlarmTrack alarm, Standing.Maintenance over, Actor by, Moment at) {
        OutOfService service = alarm.state.outOfService();
        if (service == null
                || !service.reason().equals(MAINTENANCE + over.reason())
                || !service.by().equals(over.by())) {
            return;
        }
        Standing.Maintenance other = orders.standing().covering(alarm.rule, model.facts());
        if (other != null) {
            orders.took(other.of(), alarm.rule.id());
            return;
        }
        AlarmInput place = new AlarmInput.PlaceInService(by, MAINTENANCE_OVER, at);
        take(alarm, AlarmMachine.step(alarm.state, place, alarm.policy), at);
        alarm.stateChangedOtherwise();
        fit(alarm, at);
        enqueue(alarm);
    }

    /** Readings before and after, as far as both can be used. */
    private String comparison(Standing.Maintenance over) {
        List<String> parts = new ArrayList<>();
        int unusable = 0;
        for (Standing.Before before : over.before()) {
            DeviceTrack device = devices.get(before.reading().owner());
            ReadingTrack reading =
                    device == null ? null : device.readings.get(before.reading().name());
            Double after = reading == null || reading.reason.quality() == Quality.BAD ? null : reading.raw.number();
            if (reading == null || after == null) {
                unusable++;
            } else if (parts.size() < LONGEST_COMPARISON) {
                String unit = reading.point.unit().isEmpty() ? "" : " " + reading.point.unit();
                parts.add(before.reading() + " " + PlainNumber.of(before.number()) + " before, " + PlainNumber.of(after)
                        + unit + " now");
            }
        }
        int more = over.before().size() - unusable - parts.size();
        return "compared: " + (parts.isEmpty() ? "no reading" : String.join("; ", parts))
                + (more > 0 ? "; " + more + " more" : "")
                + (unusable > 0 ? "; " + unusable + " not usable now" : "");
    }

    // ---- point test

    private static boolean tooLong(Duration duration) {
        return duration.isZero() || duration.isNegative() || duration.compareTo(LONGEST_TEST) > 0;
    }

    private @Nullable Refusal test(StationInput.TestAlarm test) {
        AlarmTrack alarm = alarmsById.get(test.alarm());
        if (alarm == null) {
            return Refusal.ALARM_UNKNOWN;
        }
        if (tooLong(test.duration())) {
            return Refusal.TEST_TIME;
        }
        orders.test(test);
        tell(
                alarm,
                alarm.state.forced(test.active()),
                AlarmEvent.Kind.TEST_FORCED,
                test.by(),
                "point test; for " + test.duration(),
                test.at());
        deadlines.set(standingTimer.timer, orders.earliest());
        return null;
    }

    private @Nullable Refusal end(StationInput.EndAlarmTest end) {
        if (!orders.endTest(end.alarm())) {
            return alarmsById.containsKey(end.alarm()) ? Refusal.NOT_UNDER_TEST : Refusal.ALARM_UNKNOWN;
        }
        endTest(end.alarm(), end.by(), "point test ended", end.at());
        return null;
    }

    private void endTest(AlarmId id, @Nullable Actor by, String text, Moment at) {
        AlarmTrack alarm = alarmsById.get(id);
        if (alarm != null) {
            tell(alarm, alarm.state, AlarmEvent.Kind.TEST_ENDED, by, text, at);
        }
        deadlines.set(standingTimer.timer, orders.earliest());
    }

    /**
     * An event that changes nothing of the alarm's state.
     *
     * @param state what others are shown.
     */
    private void tell(
            AlarmTrack alarm, AlarmState state, AlarmEvent.Kind kind, @Nullable Actor by, String text, Moment at) {
        AlarmEvent event = AlarmEvent.of(state, kind, AlarmEvent.Annunciation.NONE, by, text, at);
        events.add(new StationEvent.OfAlarm(nextId(), event, alarm.doubts()));
    }

    private @Nullable Refusal test(StationInput.TestReading test) {
        ReadingTrack reading = readingOf(test.reading());
        if (reading == null || !Double.isFinite(test.number())) {
            return Refusal.READING_UNKNOWN;
        }
        if (tooLong(test.duration())) {
            return Refusal.TEST_TIME;
        }
        orders.test(test);
        reading.forced = test.number();
        reading.device.touched();
        notice(
                StationEvent.Notice.Kind.TEST_FORCED,
                test.reading(),
                said(test.by()) + ": forced to " + PlainNumber.of(test.number()) + "; for " + test.duration(),
                test.at());
        deadlines.set(standingTimer.timer, orders.earliest());
        return null;
    }

    private @Nullable Refusal end(StationInput.EndReadingTest end) {
        if (!orders.endTest(end.reading())) {
            return readingOf(end.reading()) == null ? Refusal.READING_UNKNOWN : Refusal.NOT_UNDER_TEST;
        }
        endTest(end.reading(), said(end.by()), end.at());
        return null;
    }

    private void endTest(SignalId id, String text, Moment at) {
        ReadingTrack reading = readingOf(id);
        if (reading != null) {
            reading.forced = null;
            reading.device.touched();
        }
        notice(StationEvent.Notice.Kind.TEST_ENDED, id, text, at);
        deadlines.set(standingTimer.timer, orders.earliest());
    }

    private @Nullable ReadingTrack readingOf(SignalId id) {
        DeviceTrack device = devices.get(id.owner());
        return device == null ? null : device.readings.get(id.name());
    }

    private void forceAgain() {
        for (Standing.ReadingTest test : orders.standing().readingTests()) {
            ReadingTrack reading = readingOf(test.reading());
            if (reading != null) {
                reading.forced = test.forced();
            }
        }
    }

    // ---- released connections

    private @Nullable Refusal begin(StationInput.BeginRelease begin) {
        List<String> devicesOf = model.facts().sharingConnection(begin.of());
        if (devicesOf.isEmpty()) {
            return Refusal.NOTHING_OF_THAT_NAME;
        }
        if (devicesOf.stream().anyMatch(orders.standing()::isReleased)) {
            return Refusal.ALREADY_RELEASED;
        }
        if (begin.duration().isZero()
                || begin.duration().isNegative()
                || begin.duration().compareTo(LONGEST_RELEASE) > 0) {
            return Refusal.RELEASE_TIME;
        }
        Standing.Release release = orders.release(begin, devicesOf);
        notice(
                StationEvent.Notice.Kind.RELEASE_BEGUN,
                new SignalId(begin.of(), "connection"),
                said(begin.by()) + ": " + begin.reason() + "; not polled: " + String.join(", ", devicesOf) + "; for "
                        + begin.duration(),
                begin.at());
        setReleased(release, true, begin.at());
        deadlines.set(standingTimer.timer, orders.earliest());
        return null;
    }

    private @Nullable Refusal end(StationInput.EndRelease end) {
        Standing.Release over = orders.standing().releases().stream()
                .filter(r -> r.of().equals(end.of()) || r.devices().contains(end.of()))
                .findFirst()
                .orElse(null);
        if (over == null) {
            return model.facts().sharingConnection(end.of()).isEmpty()
                    ? Refusal.NOTHING_OF_THAT_NAME
                    : Refusal.NOT_RELEASED;
        }
        orders.end(over);
        end(over, said(end.by()), end.at());
        return null;
    }

    private void end(Standing.Release over, String text, Moment at) {
        notice(StationEvent.Notice.Kind.RELEASE_ENDED, new SignalId(over.of(), "connection"), text, at);
        setReleased(over, false, at);
        deadlines.set(standingTimer.timer, orders.earliest());
    }

    private void setReleased(Standing.Release release, boolean released, Moment at) {
        for (String id : release.devices()) {
            DeviceTrack device = devices.get(id);
            if (device != null && device.released != released) {
                device.released = released;
                device.readings.values().forEach(this::refresh);
                device.indications.values().forEach(this::refresh);
                device.blocks.values().forEach(this::refreshAll);
                lossesOf(device).forEach(loss -> loss.releasedOrBack(device, at));
            }
        }
    }

    private void passStanding(Moment at) {
        for (Standing.Maintenance due : orders.takeReminders(at)) {
            notice(
                    StationEvent.Notice.Kind.MAINTENANCE_TIME_OVER,
                    new SignalId(due.of(), "maintenance"),
                    "the time that " + said(due.by()) + " stated is over; it goes on until a person ends it",
                    at);
        }
        orders.takeAlarmTestsOver(at).forEach(t -> endTest(t.alarm(), null, "time over", at));
        orders.takeReadingTestsOver(at).forEach(t -> endTest(t.reading(), "time over", at));
        orders.takeReleasesOver(at).forEach(r -> end(r, "time over", at));
        deadlines.set(standingTimer.timer, orders.earliest());
    }

    // ---- other rules

    private @Nullable Refusal load(StationInput.RulesLoaded loaded) {
        StationModel next = loaded.model();
        boolean same = next.facts().apartFromVerification().equals(model.facts().apartFromVerification());
        if (!same || !next.transformers().equals(model.transformers())) {
            return Refusal.OTHER_DEVICES;
        }
        Moment at = loaded.at();
        RuleDifference difference = RuleDifference.between(model.rules(), next.rules());
        String was = model.rulesVersion();
        model = next;
        for (StationFacts.Device facts : next.facts().devices()) {
            known(devices.get(facts.id()), facts.id(), "").facts = facts;
        }
        chatterWindowNanos = next.settings().chatterWindow().toNanos();
        Map<AlarmId, AlarmTrack> before = new LinkedHashMap<>();
        for (AlarmTrack alarm : alarms) {
            before.put(alarm.rule.id(), alarm);
            deadlines.set(alarm.timer, Deadlines.NEVER);
            freeTimers.addLast(alarm.timer);
        }
        queue.clear();
        startUp.forgetAlarms();
        alarms.clear();
        alarmsById.clear();
        devices.values().forEach(DeviceTrack::forgetAlarms);
        notice(
                StationEvent.Notice.Kind.RULES_LOADED,
                new SignalId(gateway, "gateway"),
                said(loaded.by()) + ": " + next.rules().size() + " alarms, " + next.rulesVersion() + ", before " + was
                        + "; " + difference,
                at);
        List<AlarmTrack> begun = new ArrayList<>();
        for (RuleInstance rule : next.rules()) {
            AlarmTrack old = before.remove(rule.id());
            AlarmState known = old == null ? orphans.remove(rule.id()) : old.state;
            AlarmTrack alarm = begin(rule, known, at);
            if (old != null) {
                alarm.goOnFrom(old);
            } else if (known != null) {
                foundAgain(alarm);
            }
            begun.add(alarm);
        }
        for (AlarmTrack gone : before.values()) {
            keepAways.isGone(gone.rule.asset().id(), reason(gone));
            orders.endTest(gone.rule.id());
            setAside(gone.state, at);
        }
        for (AlarmTrack alarm : begun) {
            // Other delays may let a pending change through at once.
            take(alarm, AlarmMachine.step(alarm.state, new AlarmInput.Elapsed(at), alarm.policy), at);
            fit(alarm, at);
            enqueue(alarm);
        }
        deadlines.set(standingTimer.timer, orders.earliest());
        List<Standing.OpenDiagnosis> open = diagnosing.stored();
        diagnosing = diagnosing(at, Duration.ZERO);
        takeUp(open, at);
        faultFindings.library(next.causes());
        return null;
    }

    // ---- guided fault-finding

    private @Nullable Refused begin(StationInput.BeginFaultFinding begin) {
        Diagnosis open = diagnosing.view().stream()
                .filter(d -> d.id().equals(begin.diagnosis()))
                .findFirst()
                .orElse(null);
        return faultFindings.begin(begin, open, this::nextId, memories);
    }

    // ---- diagnosis and keep-away

    private Diagnosing diagnosing(Moment at, Duration patience) {
        return new Diagnosing(
                model.causes(),
                devices,
                alarms,
                deadlines,
                diagnosisTimer.timer,
                orders,
                keepAways,
                this::nextId,
                at,
                patience);
    }

    private void takeUp(List<Standing.OpenDiagnosis> open, Moment at) {
        diagnosing.restore(open);
        diagnosing.lookAtAll(at);
        alarms.forEach(alarm -> keepAway(alarm, at));
    }

    private void keepAway(AlarmTrack alarm, Moment at) {
        if (!alarm.rule.rule().keepAway()) {
            return;
        }
        if (alarm.state.active()) {
            keepAways.holds(alarm.rule.asset().id(), reason(alarm), at);
        } else {
            keepAways.isGone(alarm.rule.asset().id(), reason(alarm));
        }
    }

    private static String reason(AlarmTrack alarm) {
        return "alarm " + alarm.rule.id();
    }

    private void keptAway(
            StationEvent.KeptAway.Kind kind,
            String asset,
            List<String> reasons,
            @Nullable Actor by,
            String text,
            Moment at) {
        events.add(new StationEvent.KeptAway(nextId(), kind, asset, reasons, by, text, at));
    }

    /** Only what is known for certain hides an alarm; what cannot be told ends the suppression. */
    private void suppress(AlarmTrack alarm, Moment at) {
        Expressing logic = alarm.suppression;
        RuleInstance.Suppression suppression = alarm.rule.suppression();
        if (logic == null || suppression == null) {
            return;
        }
        logic.evaluate();
        if (logic.answer() == IndicationState.CANNOT_BE_TOLD && logic.notYetRead()) {
            return; // after a restart it stays as it was until its signals have been read
        }
        boolean suppressed = logic.answer() == IndicationState.HOLDS && logic.quality() == Quality.GOOD;
        if (suppressed != alarm.state.suppression().logic()) {
            AlarmInput answer = new AlarmInput.SuppressByDesign(suppressed, suppression.id(), at);
            take(alarm, AlarmMachine.step(alarm.state, answer, alarm.policy), at);
            alarm.stateChangedOtherwise();
        }
    }

    private @Nullable Refusal act(StationInput.Act act) {
        AlarmTrack alarm = alarmsById.get(act.alarm());
        if (alarm == null) {
            return Refusal.ALARM_UNKNOWN;
        }
        boolean unverified =
                alarm.state.outOfService() != null && !alarm.rule.unverified().isEmpty();
        if (unverified && act.act() instanceof AlarmInput.PlaceInService) {
            tell(
                    alarm,
                    alarm.state,
                    AlarmEvent.Kind.REFUSED,
                    act.act().by(),
                    act.act().getClass().getSimpleName() + ": " + Refusal.POINTS_NOT_VERIFIED,
                    act.at());
            return Refusal.POINTS_NOT_VERIFIED;
        }
        AlarmStep step = AlarmMachine.step(alarm.state, act.act(), alarm.policy);
        take(alarm, step, act.at());
        alarm.stateChangedOtherwise();
        return step.refusal();
    }

    /** The only place where an alarm's state changes and its events get their ids. */
    private void take(AlarmTrack alarm, AlarmStep step, Moment at) {
        AlarmState before = alarm.state;
        AlarmState next = step.next();
        if (!step.events().isEmpty()) {
            List<StationEvent.Doubt> doubted = alarm.doubts();
            for (AlarmEvent event : step.events()) {
                EventId id = nextId();
                events.add(new StationEvent.OfAlarm(id, event, doubted));
                if (event.kind() != AlarmEvent.Kind.REFUSED) {
                    next = next.withLastEvent(id.toString());
                }
                count(alarm, event, at.monotonicNanos());
            }
        }
        alarm.state = next;
        if (before.active() != next.active()) {
            SignTrack sign = alarm.sign;
            if (sign != null) {
                diagnosing.activityChanged(sign, at);
            }
            keepAway(alarm, at);
        }
        deadlines.set(alarm.timer, step.wakeAt());
        if (worthStoring(before, next)) {
            changed.put(next.id(), next);
        }
    }

    private void count(AlarmTrack alarm, AlarmEvent event, long now) {
        if (event.kind() == AlarmEvent.Kind.RAISED) {
            alarm.activated(now);
        }
        if (event.annunciate() == AlarmEvent.Annunciation.START) {
            forgetOldAnnunciations(now);
            annunciated.addLast(now);
            flood |= annunciated.size() > FLOOD_BEGINS_ABOVE;
        }
    }

    private void forgetOldAnnunciations(long now) {
        for (Long first = annunciated.peekFirst();
                first != null && now - first >= FLOOD_WINDOW_NANOS;
                first = annunciated.peekFirst()) {
            annunciated.removeFirst();
        }
        if (annunciated.size() < FLOOD_ENDS_BELOW) {
            flood = false;
        }
    }

    /**
     * Pending delays start anew and quality is told anew after a restart, so a change of these alone needs no
     * commit. Where quality matters there is an event, and with it another {@code lastEvent}.
     */
    private static boolean worthStoring(AlarmState before, AlarmState after) {
        return before.enabled() != after.enabled()
                || before.active() != after.active()
                || before.acknowledged() != after.acknowledged()
                || before.confirmed() != after.confirmed()
                || before.latched() != after.latched()
                || before.occurrence() != after.occurrence()
                || before.priority() != after.priority()
                || before.reAlarmAt() != after.reAlarmAt()
                || before.reAlarms() != after.reAlarms()
                || !before.shelving().equals(after.shelving())
                || !before.suppression().equals(after.suppression())
                || !Objects.equals(before.outOfService(), after.outOfService())
                || !before.lastEvent().equals(after.lastEvent())
                || !before.acknowledgedEvent().equals(after.acknowledgedEvent())
                || !before.confirmedEvent().equals(after.confirmedEvent())
                || !Objects.equals(before.activeSince(), after.activeSince());
    }

    private void keepComputed() {
        for (TransformerTrack transformer : transformers.values()) {
            Kept.Change change = transformer.computation.takeChange();
            if (change != null) {
                memories.computed(change);
            }
        }
    }

    // ---- events

    private EventId nextId() {
        sequence++;
        return new EventId(gateway, incarnation, sequence);
    }

    private void notice(StationEvent.Notice.Kind kind, SignalId subject, String text, Moment at) {
        events.add(new StationEvent.Notice(nextId(), kind, subject, text, at));
    }

    private StationStep step(@Nullable Refusal refusal, @Nullable Refused notTaken) {
        keepComputed();
        StationStep step = new StationStep(
                events,
                List.copyOf(changed.values()),
                orders.takeChanged(),
                memories.takeChanged(),
                deadlines.earliest(),
                refusal,
                notTaken);
        if (!events.isEmpty()) {
            events = new ArrayList<>();
        }
        if (!changed.isEmpty()) {
            changed = new LinkedHashMap<>();
        }
        return step;
    }
}
