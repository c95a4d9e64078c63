package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.List;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** One indication with what can be told of it now. */
final class IndicationTrack {
    final SignalId id;
    final DeviceTrack device;
    /** Null for the synthetic indication that the device does not answer, and for those that features make. */
    final @Nullable BlockTrack block;

    final List<DoubtTrack> doubts = new ArrayList<>();
    /** Alarms whose samples are this indication's. */
    final List<AlarmTrack> sampled = new ArrayList<>();
    /** Alarms that look at it besides another signal. */
    final List<AlarmTrack> consulted = new ArrayList<>();

    /** Features that look at it. */
    final List<FeatureTrack> features = new ArrayList<>();

    boolean madeByFeature;

    /** While it holds, somebody works on the device or calibrates it. */
    boolean service;

    /** The sign of causes that it is. */
    @Nullable
    SignTrack sign;
    /** Causes that it supports. */
    final List<Diagnosing.SupportTrack> supports = new ArrayList<>();
    /** Whether people keep away from the asset while it holds. */
    boolean keepAway;

    @Nullable
    Freshness freshness;

    Indication raw;
    Indication now;

    IndicationTrack(SignalId id, DeviceTrack device, @Nullable BlockTrack block, Indication raw) {
        this.id = id;
        this.device = device;
        this.block = block;
        this.raw = raw;
        this.now = raw;
    }

    Indication compute() {
        if (device.released && block != null) {
            return told(QualityReason.RELEASED);
        }
        if (block != null && block.failure != QualityReason.NONE) {
            return told(block.failure);
        }
        if (freshness != null && freshness.stale && raw.state() != IndicationState.CANNOT_BE_TOLD) {
            return told(QualityReason.STALE);
        }
        if (device.inMaintenance && raw.reason() == QualityReason.NONE && block != null) {
            return new Indication(id, raw.state(), QualityReason.IN_MAINTENANCE, raw.at());
        }
        if (!device.inMaintenance
                && block != null
                && block.madeInMaintenance
                && raw.reason().quality() != Quality.BAD) {
            return told(QualityReason.MADE_IN_MAINTENANCE);
        }
        return raw;
    }

    private Indication told(QualityReason reason) {
        return Indication.cannotBeTold(id, reason, raw.at());
    }
}
