package oilbird.alarm.station;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.evidence.Learnt;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.Rebase;
import oilbird.alarm.transformer.derived.Kept;
import oilbird.alarm.transformer.derived.Quantity;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * What the fold keeps over a restart besides the states of alarms: undocumented bits already told, doubts, the
 * analysis that counters stand at, what was made in maintenance, samples of rates, what features learnt. It makes the pieces to be stored, and gives stored ones back.
 */
final class Memories {
    /** What changes all the time is stored this often at most. */
    private static final long SELDOM_NANOS = Duration.ofMinutes(1).toNanos();

    private final Map<String, Remembered> stored;
    /** False where the clock does not tell how long nothing ran; then no difference over that gap means anything. */
    private final boolean timeAwayKnown;

    private final Map<String, Remembered> present = new LinkedHashMap<>();
    private Map<String, Remembered> changed = new LinkedHashMap<>();

    Memories(Past past, Moment now) {
        Rebase rebase = past.rebase(now);
        this.stored = past.remembered(now);
        this.timeAwayKnown = rebase != null && rebase.clockTells();
        // What is stored from now on is in the time of this process, so all of it is stored anew.
        past.remembered().forEach(piece -> keep(Remembered.nothing(piece.key(), false)));
        stored.values().forEach(this::keep);
    }

    /** Everything that is kept now. */
    List<Remembered> all() {
        return List.copyOf(present.values());
    }

    List<Remembered> takeChanged() {
        if (changed.isEmpty()) {
            return List.of();
        }
        List<Remembered> taken = List.copyOf(changed.values());
        changed = new LinkedHashMap<>();
        return taken;
    }

    /** What nobody has claimed since the start belongs to devices or rules that are gone. */
    void forgetTheRest() {
        for (String key : stored.keySet()) {
            // What persons entered outlives a mistake in the station file.
            if (!TransformerMemories.ofLaboratory(key)) {
                keep(Remembered.nothing(key, false));
            }
        }
        stored.clear();
    }

    private @Nullable Remembered claim(String key) {
        return stored.remove(key);
    }

    private void keep(Remembered piece) {
        changed.put(piece.key(), piece);
        if (piece.isNothing()) {
            present.remove(piece.key());
        } else {
            present.put(piece.key(), piece);
        }
    }

    // ---- undocumented bits already told

    private static String toldKey(SignalId word) {
        return "told " + word;
    }

    void told(SignalId word, long mask) {
        keep(new Remembered(toldKey(word), List.of(Long.toHexString(mask)), List.of(), List.of(), true));
    }

    /** Masks of the bits that were told before the restart, by the name of the word. */
    Map<String, Long> toldBefore(DeviceTrack device) {
        String prefix = toldKey(new SignalId(device.facts.id(), ""));
        Map<String, Long> told = new LinkedHashMap<>();
        for (String key : List.copyOf(stored.keySet())) {
            Remembered piece = key.startsWith(prefix) ? claim(key) : null;
            if (piece != null) {
                told.put(
                        key.substring(prefix.length()),
                        Long.parseUnsignedLong(piece.texts().get(0), 16));
            }
        }
        return told;
    }

    // ---- doubts

    private static String doubtsKey(DeviceTrack device) {
        return "doubts " + device.facts.id();
    }

    /** Keeps the doubts that the indications of a device cause now. */
    void doubts(DeviceTrack device) {
        List<String> texts = new ArrayList<>();
        List<Long> instants = new ArrayList<>();
        List<Double> numbers = new ArrayList<>();
        for (IndicationTrack because : device.indications.values()) {
            for (DoubtTrack doubt : because.doubts) {
                if (doubt.phase != DoubtTrack.Phase.NONE) {
                    texts.add(because.id.name());
                    texts.add(doubt.reading.id.name());
                    texts.add(doubt.phase.name());
                    instants.add(doubt.until);
                    numbers.add((double) doubt.analysesLeft());
                }
            }
        }
        keep(new Remembered(doubtsKey(device), texts, instants, numbers, true));
    }

    /** A doubt as it was before the restart. */
    record DoubtBefore(String because, String reading, DoubtTrack.Phase phase, long until, long analysesLeft) {}

    List<DoubtBefore> doubtsBefore(DeviceTrack device) {
        Remembered piece = claim(doubtsKey(device));
        List<DoubtBefore> doubts = new ArrayList<>();
        for (int i = 0; piece != null && i < piece.instants().size(); i++) {
            doubts.add(new DoubtBefore(
                    piece.texts().get(3 * i),
                    piece.texts().get(3 * i + 1),
                    DoubtTrack.Phase.valueOf(piece.texts().get(3 * i + 2)),
                    piece.instants().get(i),
                    piece.numbers().get(i).longValue()));
        }
        return doubts;
    }

    // ---- analysis counters

    private static String counterKey(SignalId counter) {
        return "counter " + counter;
    }

    /**
     * Keeps what a counter stands at since now; of one that moves all the time only now and then, but always in
     * maintenance and service, so that no start takes such an analysis for a new one.
     */
    void counted(ReadingTrack counter, double count, long now) {
        if (counter.device.inMaintenance
                || counter.device.serviced
                || counter.keptAt == Long.MIN_VALUE
                || now - counter.keptAt >= SELDOM_NANOS) {
            counter.keptAt = now;
            keep(new Remembered(counterKey(counter.id), List.of(), List.of(now), List.of(count), false));
        }
    }

    /**
     * The analysis that was the newest before the restart.
     *
     * @param at when it came, which may lie before the origin of this process's time.
     */
    record AnalysisBefore(double count, long at) {}

    @Nullable
    AnalysisBefore analysisBefore(SignalId counter) {
        Remembered piece = claim(counterKey(counter));
        return piece == null
                ? null
                : new AnalysisBefore(piece.numbers().get(0), piece.instants().get(0));
    }

    // ---- what was made in maintenance or service

    private static final String SERVICED = "serviced";

    private static String madeKey(DeviceTrack device) {
        return "made " + device.facts.id();
    }

    /** Keeps which analyses of a device were made in maintenance or service; anything else is read anew after a start. */
    void made(DeviceTrack device) {
        List<String> texts = new ArrayList<>();
        if (device.serviced) {
            texts.add(SERVICED);
        }
        for (ReadingTrack reading : device.readings.values()) {
            if (reading.analysedInMaintenance || reading.analysedInService) {
                texts.add((reading.analysedInMaintenance ? "m" : "")
                        + (reading.analysedInService ? "s" : "")
                        + " "
                        + reading.id.name());
            }
        }
        keep(new Remembered(madeKey(device), texts, List.of(), List.of(), true));
    }

    /** Gives a device back what is known of its present analyses. */
    void madeBefore(DeviceTrack device) {
        Remembered piece = claim(madeKey(device));
        for (String text : piece == null ? List.<String>of() : piece.texts()) {
            int space = text.indexOf(' ');
            ReadingTrack reading = space < 0 ? null : device.readings.get(text.substring(space + 1));
            device.serviced |= text.equals(SERVICED);
            if (reading != null) {
                reading.analysedInMaintenance = text.indexOf('m') >= 0 && text.indexOf('m') < space;
                reading.analysedInService = text.indexOf('s') >= 0 && text.indexOf('s') < space;
            }
        }
    }

    // ---- what a computation goes on from while its inputs do not count

    private static String lastKey(String asset, Quantity quantity) {
        return "last " + asset + " " + quantity.key();
    }

    /** Keeps the last value of a quantity that counts. */
    void last(String asset, Quantity quantity, double value, Moment at) {
        keep(new Remembered(
                lastKey(asset, quantity),
                List.of(),
                List.of(at.monotonicNanos()),
                List.of(value, (double) at.wallMillis(), at.wallTrusted() ? 1.0 : 0.0),
                false));
    }

    /** The last value that counted before the restart. */
    record LastBefore(double value, Moment at) {}

    @Nullable
    LastBefore lastBefore(String asset, Quantity quantity) {
        Remembered piece = claim(lastKey(asset, quantity));
        return piece == null
                ? null
                : new LastBefore(
                        piece.numbers().get(0),
                        new Moment(
                                piece.instants().get(0),
                                piece.numbers().get(1).longValue(),
                                piece.numbers().get(2) == 1));
    }

    // ---- rates

    private static String rateKey(AlarmId alarm) {
        return "rate " + alarm;
    }

    /** Keeps the samples of a rate when enough of its window is new. */
    void sampled(AlarmTrack alarm, RateWindow rate) {
        if (rate.worthKeeping(SELDOM_NANOS)) {
            keep(rate.kept(rateKey(alarm.rule.id()), alarm.rule.inputs().get(0)));
        }
    }

    /** Gives a rate the samples it had before the restart, if it is still the same rate. */
    void samplesBefore(AlarmTrack alarm, RateWindow rate, long now) {
        Remembered piece = claim(rateKey(alarm.rule.id()));
        if (piece != null && timeAwayKnown) {
            rate.goOnFrom(piece, alarm.rule.inputs().get(0), now);
        }
    }

    // ---- what features learnt

    private static String featureKey(SignalId made) {
        return "feature " + made;
    }

    /** Keeps what the feature that makes an indication has learnt. */
    void learnt(SignalId made, Learnt learnt) {
        keep(new Remembered(featureKey(made), List.of(learnt.of()), List.of(), learnt.levels(), false));
    }

    @Nullable
    Learnt learntBefore(SignalId made) {
        Remembered piece = claim(featureKey(made));
        return piece == null ? null : new Learnt(piece.texts().get(0), piece.numbers());
    }

    // ---- the journal of changes in access

    static final String JOURNAL = "access journal";

    /** Keeps the number of the newest entry that was recorded. */
    void journalled(long entry) {
        keep(new Remembered(JOURNAL, List.of(Long.toString(entry)), List.of(), List.of(), true));
    }

    /** The newest entry recorded before the restart; 0 for none. */
    long journalledBefore() {
        Remembered piece = claim(JOURNAL);
        return piece == null ? 0 : Long.parseLong(piece.texts().get(0));
    }

    // ---- guided fault-findings under way

    static final String FAULT_FINDING = "fault-finding ";

    /** Keeps that a fault-finding is under way; its events tell how it stands. */
    void underWay(String session) {
        keep(new Remembered(FAULT_FINDING + session, List.of("under way"), List.of(), List.of(), true));
    }

    void over(String session) {
        keep(Remembered.nothing(FAULT_FINDING + session, true));
    }

    /** False where it was not kept that this one is under way. */
    boolean wasUnderWay(String session) {
        return claim(FAULT_FINDING + session) != null;
    }

    // ---- computations of transformers

    /** Keeps what a computation wants remembered. */
    void computed(Kept.Change change) {
        TransformerMemories.pieces(change).forEach(this::keep);
    }

    /** What the computations of an asset remembered before the restart. */
    Kept computed(String asset) {
        List<Remembered> pieces = new ArrayList<>();
        for (String key : List.copyOf(stored.keySet())) {
            Remembered piece = TransformerMemories.of(asset, key) ? claim(key) : null;
            if (piece != null) {
                pieces.add(piece);
            }
        }
        return TransformerMemories.kept(asset, pieces);
    }
}
