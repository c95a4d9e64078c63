package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.rule.DeviceKind;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** One reading with what is known of its age and trust. */
final class ReadingTrack {
    final SignalId id;
    final DeviceTrack device;
    final BlockTrack block;
    final DeviceKind.Point point;
    final List<DoubtTrack> doubts = new ArrayList<>();
    /** Alarms whose samples are this reading's. */
    final List<AlarmTrack> sampled = new ArrayList<>();
    /** Alarms that look at it besides another reading. */
    final List<AlarmTrack> consulted = new ArrayList<>();
    /** Computations that it enters. */
    final List<TransformerTrack> feeds = new ArrayList<>();

    /** Causes that it supports. */
    final List<Diagnosing.SupportTrack> supports = new ArrayList<>();
    /** Features that look at it. */
    final List<FeatureTrack> features = new ArrayList<>();

    @Nullable
    Freshness freshness;

    @Nullable
    ReadingTrack counter;
    /** As received; reason NOT_YET_READ before. */
    Reading raw;

    QualityReason reason = QualityReason.NOT_YET_READ;
    /** Analysis that the present value belongs to. */
    long analysis;

    /** With a counter: the device was in maintenance when the present analysis came. */
    boolean analysedInMaintenance;
    /** With a counter: the device said of itself that it was being serviced when the present analysis came. */
    boolean analysedInService;

    /** With a counter: when the present analysis came; its value is no younger for being read again. */
    @Nullable
    Moment analysedAt;

    // For a reading that is itself an analysis counter.
    long analyses;

    @Nullable
    Double counted;

    /** When it last counted on. */
    @Nullable
    Moment countedAt;

    /** What it stood at before a restart, until it has been read again. */
    Memories.@Nullable AnalysisBefore before;

    /** When its count was last kept for a restart. */
    long keptAt = Long.MIN_VALUE;

    final List<Freshness> renews = new ArrayList<>();
    final List<DoubtTrack> endsDoubts = new ArrayList<>();
    boolean isCounter;

    /** What a point test makes links and pages show; rules never see it. */
    @Nullable
    Double forced;

    ReadingTrack(SignalId id, DeviceTrack device, BlockTrack block, DeviceKind.Point point, Reading raw) {
        this.id = id;
        this.device = device;
        this.block = block;
        this.point = point;
        this.raw = raw;
    }

    boolean usedByAlarms() {
        return !sampled.isEmpty() || !consulted.isEmpty();
    }

    boolean doubted() {
        for (int i = 0; i < doubts.size(); i++) {
            if (doubts.get(i).phase != DoubtTrack.Phase.NONE) {
                return true;
            }
        }
        return false;
    }

    /** Its present value was made while the device was in maintenance. */
    boolean madeInMaintenance() {
        return counter == null ? block.madeInMaintenance : analysedInMaintenance;
    }

    /**
     * Whether its value tells of what the device watches. What is made in maintenance, or while the device says that it
     * is being serviced, may be calibration gas: it enters no rate and no computation.
     */
    boolean counts() {
        if (device.inMaintenance || device.serviced || madeInMaintenance()) {
            return false;
        }
        if (counter == null ? block.madeInService : analysedInService) {
            return false;
        }
        for (int i = 0; i < doubts.size(); i++) {
            DoubtTrack doubt = doubts.get(i);
            if (doubt.because.service && doubt.phase != DoubtTrack.Phase.NONE) {
                return false;
            }
        }
        return true;
    }

    /** A new analysis has come; true where it counts otherwise than the one before. */
    boolean analysed() {
        boolean news = analysedInMaintenance != device.inMaintenance || analysedInService != device.serviced;
        analysedInMaintenance = device.inMaintenance;
        analysedInService = device.serviced;
        return news;
    }

    /** Why the reading is as bad as it is now, the gravest reason first. */
    QualityReason reasonNow() {
        if (device.released) {
            return QualityReason.RELEASED;
        }
        QualityReason received = block.failure == QualityReason.NONE ? raw.reason() : block.failure;
        if (received.quality() == Quality.BAD) {
            return received;
        }
        boolean doubtful = false;
        for (int i = 0; i < doubts.size(); i++) {
            DoubtTrack doubt = doubts.get(i);
            if (doubt.phase != DoubtTrack.Phase.NONE) {
                if (doubt.worthless) {
                    return QualityReason.WORTHLESS;
                }
                doubtful = true;
            }
        }
        if (freshness != null && freshness.stale) {
            return QualityReason.STALE;
        }
        if (device.inMaintenance) {
            return QualityReason.IN_MAINTENANCE;
        }
        if (madeInMaintenance()) {
            return QualityReason.MADE_IN_MAINTENANCE;
        }
        return doubtful && received.quality() == Quality.GOOD ? QualityReason.DOUBTFUL : received;
    }

    /** The same for a feature: before trust, so without the doubts that features make, and those it looks through. */
    QualityReason reasonFor(FeatureTrack feature) {
        QualityReason received = block.failure == QualityReason.NONE ? raw.reason() : block.failure;
        if (received.quality() == Quality.BAD) {
            return received;
        }
        if (freshness != null && freshness.stale) {
            return QualityReason.STALE;
        }
        if (device.inMaintenance) {
            return QualityReason.IN_MAINTENANCE;
        }
        if (madeInMaintenance()) {
            return QualityReason.MADE_IN_MAINTENANCE;
        }
        for (int i = 0; i < doubts.size(); i++) {
            DoubtTrack doubt = doubts.get(i);
            if (doubt.phase != DoubtTrack.Phase.NONE
                    && !doubt.because.madeByFeature
                    && !feature.despite.contains(doubt.because)) {
                return doubt.worthless ? QualityReason.WORTHLESS : QualityReason.DOUBTFUL;
            }
        }
        return received;
    }

    /** What is shown and sent. */
    Reading outgoing() {
        Double shown = forced;
        return shown == null ? now() : new Reading(id, shown, null, QualityReason.NONE, raw.at());
    }

    /** The value as last received, with the quality it has now and the time from when it is. */
    Reading now() {
        Moment made = analysedAt == null ? raw.at() : analysedAt;
        return raw.reason() == reason && made == raw.at()
                ? raw
                : new Reading(id, raw.number(), raw.text(), reason, made, raw.origin());
    }
}
