package oilbird.alarm.evidence;

import java.util.Arrays;
import java.util.List;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/**
 * One feature at work on one device. Mutable; used by one thread.
 *
 * <p>All that happens at one moment is told first, then {@link #tell} asked once. Bad or doubtful input cannot be
 * told, and what was learnt before it stays; a step or an unscheduled analysis, once seen, is remembered through it.
 * Times are monotonic nanoseconds.
 */
public final class FeatureWatch {
    private final Feature feature;
    private final ShapeWatch shape;
    private final List<Feature.Source> points;
    private final List<Feature.Source> indications;
    private final QualityReason[] reasons;
    private final IndicationState[] states;
    private boolean open;
    private long openSince;
    private QualityReason reason = QualityReason.NOT_YET_READ;

    public FeatureWatch(Feature feature) {
        this.feature = feature;
        this.shape = ShapeWatch.of(feature.shape());
        this.points = feature.shape().points();
        this.indications = feature.indications();
        this.reasons = new QualityReason[points.size()];
        this.states = new IndicationState[indications.size()];
        Arrays.fill(reasons, QualityReason.NOT_YET_READ);
        Arrays.fill(states, IndicationState.CANNOT_BE_TOLD);
    }

    /** The points that it looks at; their order numbers them. */
    public List<Feature.Source> points() {
        return points;
    }

    /** The indications that it looks at; their order numbers them. */
    public List<Feature.Source> indications() {
        return indications;
    }

    /** True where any number that was received counts, however implausible. */
    public boolean takesAnyNumber() {
        return feature.shape() instanceof Feature.Shift;
    }

    /** An indication as it is from {@code now} on. */
    public void told(int input, long now, IndicationState state) {
        states[input] = state;
        shape.told(input, now, state);
        boolean was = open;
        boolean shut = false;
        open = true;
        for (Feature.Told each : feature.during()) {
            IndicationState of = states[indications.indexOf(each.indication())];
            boolean untold = of == IndicationState.CANNOT_BE_TOLD;
            boolean so = !untold && (of == IndicationState.HOLDS) == each.holds();
            open &= so;
            shut |= !untold && !so;
        }
        if (open && !was) {
            openSince = now;
        }
        if (shut) {
            shape.restart();
        }
    }

    /**
     * A point as it is from {@code now} on.
     *
     * @param value not a number for none.
     * @param why why the value is as bad as it is.
     * @param newSample false where only its quality changed.
     */
    public void read(int input, long now, double value, QualityReason why, boolean newSample) {
        if (shape instanceof MissingWatch missing) {
            missing(missing, input, now, why);
            return;
        }
        boolean usable = !Double.isNaN(value) && (why == QualityReason.NONE || takesAnyNumber());
        reasons[input] = usable ? QualityReason.NONE : worstOf(why);
        if (!usable) {
            shape.blind(input);
        } else if (newSample && settled(now)) {
            shape.sample(input, now, value);
        }
    }

    /** How good a value is does not matter here, only that there is one. */
    private void missing(MissingWatch missing, int input, long now, QualityReason why) {
        boolean byDevice = MissingWatch.byDevice(why);
        reasons[input] = byDevice || why.quality() != Quality.BAD ? QualityReason.NONE : why;
        if (reasons[input] == QualityReason.NONE && settled(now)) {
            missing.sample(input, now, byDevice && missing.asLookedFor(why) ? Double.NaN : 0);
        }
    }

    private static QualityReason worstOf(QualityReason why) {
        return why == QualityReason.NONE ? QualityReason.NO_VALUE : why;
    }

    private boolean settled(long now) {
        return feature.during().isEmpty()
                || (open && now - openSince >= feature.settle().toNanos());
    }

    /** Whether it holds now; {@link #reason} says why not where it cannot be told. */
    public IndicationState tell(long now) {
        IndicationState answer = IndicationState.CANNOT_BE_TOLD;
        reason = QualityReason.NONE;
        QualityReason input = worstInput();
        if (input != QualityReason.NONE) {
            reason = input;
        } else if (!feature.during().isEmpty() && !open) {
            shape.interrupted(now);
            reason = QualityReason.DECLARED_INVALID;
        } else if (looksAtIndications() && !settled(now)) {
            shape.interrupted(now);
            reason = QualityReason.NOT_YET_KNOWN;
        } else {
            answer = shape.tell(now);
            if (answer == IndicationState.CANNOT_BE_TOLD) {
                reason = QualityReason.NOT_YET_KNOWN;
            }
        }
        if (answer != IndicationState.HOLDS && shape.remembers(now)) {
            answer = IndicationState.HOLDS;
            reason = QualityReason.NONE;
        }
        return answer;
    }

    /** What looks at indications alone is asked for no samples that could be left out until things have settled. */
    private boolean looksAtIndications() {
        return points.isEmpty();
    }

    private QualityReason worstInput() {
        QualityReason worst = QualityReason.NONE;
        if (takesAnyNumber()) {
            // One register may show what its point calls no number; the others still tell.
            return Arrays.stream(reasons).allMatch(r -> r != QualityReason.NONE) ? reasons[0] : worst;
        }
        for (QualityReason each : reasons) {
            Quality quality = each.quality();
            if (quality.compareTo(worst.quality()) > 0) {
                worst = each;
            }
        }
        return worst;
    }

    /** Why it could not be told when it was last asked; NONE when it could. */
    public QualityReason reason() {
        return reason;
    }

    /** When after {@code now} the answer changes without news; {@code Long.MAX_VALUE} for never. */
    public long wakeAt(long now) {
        long at = shape.wakeAt();
        long settles = looksAtIndications() && open && !feature.during().isEmpty()
                ? openSince + feature.settle().toNanos()
                : ShapeWatch.NEVER;
        long next = at > now ? at : ShapeWatch.NEVER;
        return settles > now ? Math.min(next, settles) : next;
    }

    /** What is to be stored since it was last asked; null for nothing. */
    public @Nullable Learnt takeLearnt() {
        return shape.learnt();
    }

    /** Goes on from what an earlier run has learnt, if it was learnt for the same declaration. */
    public void goOnFrom(Learnt learnt) {
        shape.goOnFrom(learnt);
    }
}
