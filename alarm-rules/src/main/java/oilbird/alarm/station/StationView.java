package oilbird.alarm.station;

import java.time.Duration;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.check.GuidedSession;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.signal.StatusWordValue;
import org.jspecify.annotations.Nullable;

/**
 * An immutable picture of a station at a moment, for pages and links.
 *
 * @param at the last input's time.
 * @param alarms every alarm, in the order of the rules.
 * @param devices every device, in the order of the station file.
 * @param flood whether alarms come faster than an operator can manage.
 * @param standing maintenance and point tests.
 * @param proposals alarms that a person may want to shelve.
 * @param diagnoses open ones; those that may be trouble of a transformer first, then the oldest first.
 * @param transformers what is computed of transformers, by asset.
 * @param faultFindings those under way, and those that have ended lately.
 */
public record StationView(
        Moment at,
        Map<AlarmId, AlarmView> alarms,
        Map<String, DeviceView> devices,
        Flood flood,
        Standing standing,
        List<Proposal> proposals,
        List<Diagnosis> diagnoses,
        Map<String, TransformerPicture> transformers,
        FaultFindings faultFindings) {
    public StationView {
        diagnoses = List.copyOf(diagnoses);
        proposals = List.copyOf(proposals);
        transformers = Collections.unmodifiableMap(new LinkedHashMap<>(transformers));
    }

    /** The same picture with these alarms only. */
    public StationView withAlarms(Map<AlarmId, AlarmView> others) {
        return new StationView(at, others, devices, flood, standing, proposals, diagnoses, transformers, faultFindings);
    }

    /** A guided fault-finding that is under way or has ended lately; null for none of that id. */
    public @Nullable GuidedSession faultFinding(String id) {
        return faultFindings.sessions().stream()
                .filter(f -> f.id().equals(id))
                .findFirst()
                .orElse(null);
    }

    /** The open diagnosis that an alarm belongs to, or null. */
    public @Nullable Diagnosis diagnosisOf(AlarmId alarm) {
        return diagnoses.stream()
                .filter(d -> d.grouped().contains(alarm) || d.apart().contains(alarm))
                .findFirst()
                .orElse(null);
    }

    /** What links send of an alarm: as it stands or, while a point test forces it, as it is forced. */
    public AlarmView outgoing(AlarmView alarm) {
        Standing.AlarmTest test = standing.testOf(alarm.rule().id());
        return test == null
                ? alarm
                : new AlarmView(
                        alarm.rule(),
                        alarm.state().forced(test.forced()),
                        alarm.doubted(),
                        alarm.chattering(),
                        alarm.evidence(),
                        alarm.value(),
                        alarm.limit(),
                        true);
    }

    /**
     * Guided fault-findings.
     *
     * @param sessions those under way, and those that have ended lately.
     * @param library the causes and checks in force.
     */
    public record FaultFindings(List<GuidedSession> sessions, StationCauses library) {
        public static final FaultFindings NONE = new FaultFindings(List.of(), StationCauses.NONE);

        public FaultFindings {
            sessions = List.copyOf(sessions);
        }
    }

    /** A view without maintenance, point tests and proposals. */
    public StationView(Moment at, Map<AlarmId, AlarmView> alarms, Map<String, DeviceView> devices, Flood flood) {
        this(at, alarms, devices, flood, Standing.NONE, List.of(), List.of(), Map.of(), FaultFindings.NONE);
    }

    /**
     * An alarm that chatters and may be shelved; a proposal to a person, never carried out by itself.
     *
     * @param activations how often it was raised within {@code window}.
     * @param longest the longest time that it may be shelved.
     */
    public record Proposal(AlarmId alarm, int activations, Duration window, Duration longest) {}

    /**
     * One alarm.
     *
     * @param doubted readings that it is about, or that its device gives, and that cannot be trusted now.
     * @param chattering activated too often in a short time; a proposal to look, never a reason to hide.
     * @param evidence what the last evaluation saw.
     * @param value of a level condition: while the alarm is active the newest usable value beyond its limit, so
     *     that a sentence with both stays true while the alarm waits for its return; otherwise the last received
     *     one, of whatever quality. Null for none.
     * @param test true where {@code state} is what a point test makes others see.
     * @param limit the limit that is reached or, when none is, the first one; null for other conditions.
     */
    public record AlarmView(
            RuleInstance rule,
            AlarmState state,
            List<StationEvent.Doubt> doubted,
            boolean chattering,
            String evidence,
            @Nullable Double value,
            @Nullable Double limit,
            boolean test) {
        public AlarmView {
            doubted = List.copyOf(doubted);
        }

        public AlarmView(
                RuleInstance rule,
                AlarmState state,
                List<StationEvent.Doubt> doubted,
                boolean chattering,
                String evidence,
                @Nullable Double value,
                @Nullable Double limit) {
            this(rule, state, doubted, chattering, evidence, value, limit, false);
        }
    }

    /**
     * One device.
     *
     * @param lost true while it does not answer.
     * @param indications with {@code communication-lost} last.
     */
    public record DeviceView(
            String id,
            boolean lost,
            List<TrustedReading> readings,
            List<Indication> indications,
            List<StatusWordValue> words) {
        public DeviceView {
            readings = List.copyOf(readings);
            indications = List.copyOf(indications);
            words = List.copyOf(words);
        }
    }

    /**
     * A reading after freshness and trust have been applied.
     *
     * @param reading value as last received, with the quality it has now.
     * @param because the indications that make it doubtful or worthless.
     * @param test true while a point test forces the value.
     */
    public record TrustedReading(Reading reading, List<SignalId> because, boolean test) {
        public TrustedReading {
            because = List.copyOf(because);
        }

        public TrustedReading(Reading reading, List<SignalId> because) {
            this(reading, because, false);
        }
    }

    /**
     * Annunciated activations against what an operator can manage (ISA-18.2: begins above 10 in 10 minutes,
     * ends below 5).
     */
    public record Flood(boolean now, int inTenMinutes) {}
}
