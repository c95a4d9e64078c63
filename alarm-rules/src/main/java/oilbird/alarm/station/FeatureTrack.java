package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.evidence.FeatureWatch;
import oilbird.mapping.signal.Feature;

/** One feature with the signals that it looks at and the indication that it makes. */
final class FeatureTrack implements Timed {
    final FeatureWatch watch;
    final IndicationTrack made;
    final int timer;
    final List<ReadingTrack> readings = new ArrayList<>();
    final List<IndicationTrack> indications = new ArrayList<>();
    /** Whose doubts it looks through. */
    final List<IndicationTrack> despite = new ArrayList<>();

    final boolean[] sampled;
    /** After the features whose indications it looks at. */
    int order;

    boolean queued;

    FeatureTrack(Feature feature, IndicationTrack made, int timer) {
        this.watch = new FeatureWatch(feature);
        this.made = made;
        this.timer = timer;
        this.sampled = new boolean[watch.points().size()];
    }
}
