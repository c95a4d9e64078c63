package oilbird.alarm.station;

import java.time.Instant;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import oilbird.alarm.transformer.derived.Input;
import oilbird.alarm.transformer.derived.Quantity;
import oilbird.alarm.transformer.derived.TransformerComputation;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/**
 * Feeds the computations of one transformer from the station's readings, and tells what became of them.
 *
 * <p>What a monitor says in maintenance, or while it is being serviced, is not of the transformer. It is neither
 * assessed nor a sample; what was computed before stands on, uncertain and as old as it is, until a value comes that
 * counts.
 */
final class TransformerTrack {
    private static final long NANOS_PER_HOUR = 3_600_000_000_000L;
    private static final Set<Quantity> GASES = gases();
    private static final Set<Quantity> WATER = EnumSet.copyOf(TransformerComputation.WATER);
    private static final Set<Quantity> HEAT = EnumSet.of(Quantity.LOAD_CURRENT, Quantity.LOAD_FACTOR, Quantity.AMBIENT);

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
    // Since when the gas and heat results stand.
    private Moment assessedAt;
    private Moment heatAt;

    private final Memories memories;

    /** One quantity, with the last value that counted. */
    private final class Fed {
        final Quantity quantity;
        final ReadingTrack reading;
        final double factor;

        Input now = Input.NONE;
        private @Nullable Double last;
        private Moment lastAt;
        private long lastAnalysis = -1;
        /** The value of before is used, since the present one does not count. */
        boolean stands;

        Fed(Quantity quantity, ReadingTrack reading, double factor) {
            this.quantity = quantity;
            this.reading = reading;
            this.factor = factor;
            Memories.LastBefore before = memories.lastBefore(computation.setup().asset(), quantity);
            this.last = before == null ? null : (Double) before.value();
            this.lastAt = before == null ? reading.raw.at() : before.at();
        }

        void look() {
            Double number = reading.raw.number();
            Double value = number == null ? null : (Double) (number * factor);
            boolean stood = stands;
            boolean lostOtherwise = !reading.device.inMaintenance
                    && reading.reason.quality() == Quality.BAD
                    && reading.reason != QualityReason.MADE_IN_MAINTENANCE;
            stands = !reading.counts() && !lostOtherwise;
            if (!stands) {
                now = new Input(value, reading.reason);
                if (value != null && reading.reason.quality() != Quality.BAD) {
                    last = value;
                    if (reading.counter == null || reading.analysis != lastAnalysis) {
                        lastAnalysis = reading.analysis;
                        lastAt = reading.raw.at();
                    }
                }
                return;
            }
            Double known = last;
            if (known == null) {
                now = new Input(null, QualityReason.MADE_IN_MAINTENANCE);
                return;
            }
            if (!stood) {
                memories.last(computation.setup().asset(), quantity, known, lastAt);
            }
            now = new Input(known, standingReason());
        }

        private QualityReason standingReason() {
            if (reading.device.inMaintenance) {
                return QualityReason.IN_MAINTENANCE;
            }
            return reading.reason.quality() == Quality.UNCERTAIN ? reading.reason : QualityReason.INPUT_GAP;
        }
    }

    /**
     * @param started when the process began: wall time there, moved on by the monotonic clock, is the axis of heat.
     */
    TransformerTrack(TransformerComputation computation, Moment started, Memories memories) {
        this.computation = computation;
        this.started = started;
        this.memories = memories;
        this.assessedAt = started;
        this.heatAt = started;
    }

    private static Set<Quantity> gases() {
        Set<Quantity> gases = EnumSet.allOf(Quantity.class);
        gases.removeIf(q -> q.gas() == null);
        return gases;
    }

    void feed(Quantity quantity, ReadingTrack reading, double factor) {
        feeds.put(quantity, new Fed(quantity, reading, factor));
        reading.feeds.add(this);
    }

    /** What has changed, as answers of the derived device. */
    List<Decoded> compute(Moment at) {
        List<Decoded> told = new ArrayList<>();
        feeds.values().forEach(Fed::look);
        Map<Quantity, Input> gasNow = inputs(true);
        boolean fresh = fresh(at);
        int nowUsable = usable(gasNow);
        if (fresh || nowUsable != usable && nowUsable != 0) {
            usable = nowUsable;
            assessedAt = oldestStanding(GASES, at);
            computation.assess(gasNow, at, fresh);
        }
        if (fresh || firstTime || !sameReasons(gasNow, gases)) {
            gases = gasNow;
            told.add(computation.gas(gasNow, assessedAt, at));
        }
        if (fresh || !laboratoryTold) {
            laboratoryTold = true;
            told.add(computation.laboratory(at));
        }
        Map<Quantity, Input> otherNow = inputs(false);
        Instant axis =
                Instant.ofEpochMilli(started.wallMillis()).plusNanos(at.monotonicNanos() - started.monotonicNanos());
        boolean reasonsChanged = !sameReasons(otherNow, others);
        // Load and ambient drive the equations; they are not driven by what was, but wait.
        boolean heatStands = HEAT.stream().anyMatch(this::stands);
        boolean step = !heatStands && computation.heatDue(axis, reasonsChanged);
        if (!otherNow.equals(others) || firstTime) {
            firstTime = false;
            told.add(computation.water(otherNow, oldestStanding(WATER, at), at));
        }
        if (step || reasonsChanged) {
            heatAt = step ? at : heatAt;
            Map<Quantity, Input> heatNow = new EnumMap<>(otherNow);
            if (stands(Quantity.TOP_OIL)) {
                // The equations go on without it, as they do where it is not measured.
                heatNow.put(Quantity.TOP_OIL, new Input(null, QualityReason.MADE_IN_MAINTENANCE));
            }
            told.add(computation.heat(heatNow, axis, step, heatStands ? heatAt : at, at));
        }
        others = otherNow;
        return told;
    }

    private boolean stands(Quantity quantity) {
        Fed fed = feeds.get(quantity);
        return fed != null && fed.stands;
    }

    /** How old the oldest value is that stands in for one that does not count; now where none does. */
    private Moment oldestStanding(Set<Quantity> of, Moment at) {
        Moment oldest = at;
        for (Fed fed : feeds.values()) {
            if (fed.stands && of.contains(fed.quantity) && fed.lastAt.monotonicNanos() < oldest.monotonicNanos()) {
                oldest = fed.lastAt;
            }
        }
        return oldest;
    }

    private Map<Quantity, Input> inputs(boolean ofGas) {
        Map<Quantity, Input> inputs = new EnumMap<>(Quantity.class);
        feeds.forEach((quantity, fed) -> {
            if (quantity.gas() != null == ofGas) {
                inputs.put(quantity, fed.now);
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
        boolean stands = false;
        ReadingTrack counter = null;
        for (Map.Entry<Quantity, Fed> entry : feeds.entrySet()) {
            if (entry.getKey().gas() == null) {
                continue;
            }
            ReadingTrack reading = entry.getValue().reading;
            stands |= entry.getValue().stands;
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
            return fresh && !stands;
        }
        return !stands && freshWithoutCounter(at.monotonicNanos());
    }

    private boolean freshWithoutCounter(long now) {
        boolean changed = false;
        long oldest = Long.MAX_VALUE;
        long period = NANOS_PER_HOUR;
        for (Map.Entry<Quantity, Fed> entry : feeds.entrySet()) {
            if (entry.getKey().gas() == null) {
                continue;
            }
            ReadingTrack reading = entry.getValue().reading;
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
            Double number = fed.reading.raw.number();
            if (quantity.gas() != null && number != null) {
                sampled.put(quantity, number);
            }
        });
        return true;
    }
}
