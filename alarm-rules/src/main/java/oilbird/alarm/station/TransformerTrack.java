package oilbird.alarm.station;

import java.time.Instant;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.derived.Input;
import oilbird.alarm.transformer.derived.Quantity;
import oilbird.alarm.transformer.derived.TransformerComputation;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/** Feeds the computations of one transformer from the station's readings, and tells what became of them. */
final class TransformerTrack {
    private static final long NANOS_PER_HOUR = 3_600_000_000_000L;

    final TransformerComputation computation;
    /** Something of what feeds it was read or judged anew. */
    boolean fed;
    /** False where a laboratory sample was entered or withdrawn since it was last told. */
    boolean laboratoryTold;

    private final Map<Quantity, Fed> feeds = new EnumMap<>(Quantity.class);
    private final Moment started;
    private Map<Quantity, Input> gases = Map.of();
    private Map<Quantity, Input> others = Map.of();
    private int usable;
    // Without an analysis counter: when a gas was last seen to change, and when a sample was last taken.
    private @Nullable Long changedAt;
    private @Nullable Long sampledAt;
    private final Map<Quantity, Double> sampled = new EnumMap<>(Quantity.class);
    private long analysis;
    private boolean firstTime = true;

    private record Fed(ReadingTrack reading, double factor) {
        Input now() {
            Double number = reading.raw.number();
            return new Input(number == null ? null : number * factor, reading.reason);
        }
    }

    /**
     * @param started when the process began: wall time there, moved on by the monotonic clock, is the axis of heat.
     */
    TransformerTrack(TransformerComputation computation, Moment started) {
        this.computation = computation;
        this.started = started;
    }

    void feed(Quantity quantity, ReadingTrack reading, double factor) {
        feeds.put(quantity, new Fed(reading, factor));
        reading.feeds.add(this);
    }

    /** What has changed, as answers of the derived device. */
    List<Decoded> compute(Moment at) {
        List<Decoded> told = new ArrayList<>();
        Map<Quantity, Input> gasNow = inputs(true);
        boolean fresh = fresh(at);
        int nowUsable = usable(gasNow);
        if (fresh || nowUsable != usable && nowUsable != 0) {
            usable = nowUsable;
            computation.assess(gasNow, at, fresh);
        }
        if (fresh || firstTime || !sameReasons(gasNow, gases)) {
            gases = gasNow;
            told.add(computation.gas(gasNow, at));
        }
        if (fresh || !laboratoryTold) {
            laboratoryTold = true;
            told.add(computation.laboratory(at));
        }
        Map<Quantity, Input> otherNow = inputs(false);
        Instant axis =
                Instant.ofEpochMilli(started.wallMillis()).plusNanos(at.monotonicNanos() - started.monotonicNanos());
        boolean reasonsChanged = !sameReasons(otherNow, others);
        boolean step = computation.heatDue(axis, reasonsChanged);
        if (!otherNow.equals(others) || firstTime) {
            firstTime = false;
            told.add(computation.water(otherNow, at));
        }
        if (step || reasonsChanged) {
            told.add(computation.heat(otherNow, axis, step, at));
        }
        others = otherNow;
        return told;
    }

    private Map<Quantity, Input> inputs(boolean ofGas) {
        Map<Quantity, Input> inputs = new EnumMap<>(Quantity.class);
        feeds.forEach((quantity, fed) -> {
            if (quantity.gas() != null == ofGas) {
                inputs.put(quantity, fed.now());
            }
        });
        return inputs;
    }

    private static boolean sameReasons(Map<Quantity, Input> now, Map<Quantity, Input> before) {
        if (now.size() != before.size()) {
            return false;
        }
        for (Map.Entry<Quantity, Input> entry : now.entrySet()) {
            Input old = before.get(entry.getKey());
            if (old == null || old.reason() != entry.getValue().reason()) {
                return false;
            }
        }
        return true;
    }

    private static int usable(Map<Quantity, Input> inputs) {
        int mask = 0;
        for (Map.Entry<Quantity, Input> entry : inputs.entrySet()) {
            if (entry.getValue().reason().quality() != Quality.BAD) {
                mask |= 1 << entry.getKey().ordinal();
            }
        }
        return mask;
    }

    /**
     * Whether an analysis is whole and not yet taken. With a counter: every gas belongs to the analysis that the
     * counter stands at. Without: a gas changed and all were read since, or so long passed that an unchanged value is
     * news too.
     */
    private boolean fresh(Moment at) {
        boolean any = false;
        ReadingTrack counter = null;
        for (Map.Entry<Quantity, Fed> entry : feeds.entrySet()) {
            if (entry.getKey().gas() == null) {
                continue;
            }
            ReadingTrack reading = entry.getValue().reading();
            if (reading.raw.number() != null && reading.reason.quality() != Quality.BAD) {
                any = true;
            }
            if (reading.counter != null && reading.counter != reading) {
                counter = reading.counter;
                if (reading.analysis != reading.counter.analyses) {
                    return false;
                }
            }
        }
        if (!any) {
            return false;
        }
        if (counter != null) {
            boolean fresh = counter.analyses != analysis;
            analysis = counter.analyses;
            return fresh;
        }
        return freshWithoutCounter(at.monotonicNanos());
    }

    private boolean freshWithoutCounter(long now) {
        boolean changed = false;
        long oldest = Long.MAX_VALUE;
        long period = NANOS_PER_HOUR;
        for (Map.Entry<Quantity, Fed> entry : feeds.entrySet()) {
            if (entry.getKey().gas() == null) {
                continue;
            }
            ReadingTrack reading = entry.getValue().reading();
            Double number = reading.raw.number();
            changed |= number != null && !number.equals(sampled.get(entry.getKey()));
            oldest = Math.min(oldest, reading.raw.at().monotonicNanos());
            period = Math.max(period, reading.point.updatePeriod().toNanos());
        }
        Long since = changedAt;
        if (changed && since == null) {
            changedAt = now;
            since = now;
        }
        Long last = sampledAt;
        boolean whole = since != null && oldest >= since;
        boolean timeOver = last != null && now - last >= period && oldest > last;
        if (!whole && !timeOver) {
            return false;
        }
        changedAt = null;
        sampledAt = now;
        feeds.forEach((quantity, fed) -> {
            Double number = fed.reading().raw.number();
            if (quantity.gas() != null && number != null) {
                sampled.put(quantity, number);
            }
        });
        return true;
    }
}
