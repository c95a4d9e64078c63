package oilbird.gateway.points;

import java.util.function.Supplier;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.station.StationView;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * The points of one link as they are now. Whoever serves them asks as often as it likes; since when a point says what it
 * says is kept from one picture to the next. Thread-safe.
 */
public final class PointFeed {
    private final PointList list;
    private final StationFacts facts;
    private final Supplier<StationView> view;
    private final Supplier<Moment> clock;
    private @Nullable Seen last;

    /**
     * @param period number of the period of the life sign.
     */
    private record Seen(StationView view, long period, PointPicture picture) {}

    /**
     * @param view the station as last committed; the same object while nothing has changed.
     * @param clock the gateway's.
     */
    public PointFeed(PointList list, StationFacts facts, Supplier<StationView> view, Supplier<Moment> clock) {
        this.list = list;
        this.facts = facts;
        this.view = view;
        this.clock = clock;
    }

    public PointList list() {
        return list;
    }

    public synchronized PointPicture now() {
        StationView newest = view.get();
        Moment now = clock.get();
        long period = Math.floorDiv(now.monotonicNanos(), list.lifeSign().toNanos());
        Seen seen = last;
        if (seen != null && seen.view() == newest && seen.period() == period) {
            return seen.picture();
        }
        PointPicture earlier = seen == null ? null : seen.picture();
        PointPicture picture = PointPicture.of(list, newest, facts, now, earlier);
        last = new Seen(newest, period, picture);
        return picture;
    }
}
