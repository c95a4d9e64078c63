package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.List;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.RawAnswer;
import org.jspecify.annotations.Nullable;

/** One request of one device. */
final class BlockTrack {
    final String name;
    final long periodNanos;
    final List<ReadingTrack> readings = new ArrayList<>();
    final List<IndicationTrack> indications = new ArrayList<>();
    final List<Freshness> renews = new ArrayList<>();

    /** Why its last request brought nothing; NONE when it did, or when none was sent. */
    QualityReason failure = QualityReason.NONE;

    /** A request of this block brought no answer since the device's last answer to any. */
    boolean silentSinceAnswer;

    /** Answers in a row that could not be used. */
    int uselessAnswers;

    long answeredAt = Long.MIN_VALUE;

    /** The device was in maintenance when it gave the last answer. */
    boolean madeInMaintenance;

    /** The device said of itself that it was being serviced when it gave the last answer. */
    boolean madeInService;

    /** Its last answer as it came; null before the first. */
    @Nullable
    RawAnswer raw;

    @Nullable
    Moment rawAt;

    // A decoder gives the signals of a block in the same order each time, so they need no look-up.
    ReadingTrack[] readingOrder = {};
    IndicationTrack[] indicationOrder = {};

    BlockTrack(String name, long periodNanos) {
        this.name = name;
        this.periodNanos = periodNanos;
    }
}
