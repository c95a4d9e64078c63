package oilbird.gateway.points;

import java.util.concurrent.atomic.AtomicReference;
import java.util.function.Supplier;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.station.StationView;

/**
 * The points of one link as they are now. Whoever serves them asks as often as it likes; since when a point says what it
 * says is kept from one picture to the next. Thread-safe.
 */
public final class PointFeed {
    private final PointList list;
    private final StationFacts facts;
    private final Supplier<StationView> view;
    private final AtomicReference<Seen> last = new AtomicReference<>();

    private record Seen(StationView view, PointPicture picture) {}

    /**
     * @param view the station as last committed; the same object while nothing has changed.
     */
    public PointFeed(PointList list, StationFacts facts, Supplier<StationView> view) {
        this.list = list;
        this.facts = facts;
        this.view = view;
    }

    public PointList list() {
        return list;
    }

    public PointPicture now() {
        StationView newest = view.get();
        return last.updateAndGet(seen -> {
                    if (seen != null && seen.view() == newest) {
                        return seen;
                    }
                    PointPicture earlier = seen == null ? null : seen.picture();
                    return new Seen(newest, PointPicture.of(list, newest, facts, earlier));
                })
                .picture();
    }
}
