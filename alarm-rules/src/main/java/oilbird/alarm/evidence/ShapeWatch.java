package oilbird.alarm.evidence;

import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;
import org.jspecify.annotations.Nullable;

/** What is looked for in usable samples. */
abstract class ShapeWatch {
    static final long NEVER = Long.MAX_VALUE;

    static ShapeWatch of(Feature.Shape shape) {
        if (shape instanceof Feature.Plateau plateau) {
            return new PlateauWatch(plateau);
        } else if (shape instanceof Feature.Divergence divergence) {
            return new DivergenceWatch(divergence);
        } else if (shape instanceof Feature.Step step) {
            return new StepWatch(step);
        } else if (shape instanceof Feature.Ratio ratio) {
            return new RatioWatch(ratio);
        } else if (shape instanceof Feature.Fluctuation fluctuation) {
            return new FluctuationWatch(fluctuation);
        } else if (shape instanceof Feature.Follows follows) {
            return new FollowsWatch(follows);
        } else if (shape instanceof Feature.Shift shift) {
            return new ShiftWatch(shift);
        } else if (shape instanceof Feature.Missing missing) {
            return new MissingWatch(missing);
        } else if (shape instanceof Feature.Unscheduled unscheduled) {
            return new UnscheduledWatch(unscheduled);
        } else if (shape instanceof Feature.Coincidence coincidence) {
            return new CoincidenceWatch(coincidence);
        }
        throw new IllegalStateException("nothing known of " + shape);
    }

    /**
     * A new usable sample.
     *
     * @param input which of the shape's points.
     */
    abstract void sample(int input, long now, double value);

    /** A point of the shape cannot be used now. */
    void blind(int input) {}

    /** What was seen so far does not belong to what comes next. */
    abstract void restart();

    /** What it looks for is not looked for now. */
    void interrupted(long now) {}

    /** Whether what was seen can be told although an input is not usable now. */
    boolean remembers(long now) {
        return false;
    }

    /** What the samples say, all usable now; cannot be told while they are too few. */
    abstract IndicationState tell(long now);

    /** An indication that the shape itself names. */
    void told(int input, long now, IndicationState state) {}

    /** When the answer changes without another sample. */
    long wakeAt() {
        return NEVER;
    }

    /** What outlasts a restart of the program; null for nothing, or nothing worth storing yet. */
    @Nullable
    Learnt learnt() {
        return null;
    }

    void goOnFrom(Learnt stored) {}

    static IndicationState holds(boolean holds) {
        return holds ? IndicationState.HOLDS : IndicationState.DOES_NOT_HOLD;
    }

    /** Whether a difference goes beyond a limit in the direction that counts. */
    static boolean beyond(double difference, double limit, Feature.Direction direction) {
        return switch (direction) {
            case UP -> difference > limit;
            case DOWN -> -difference > limit;
            case EITHER -> Math.abs(difference) > limit;
        };
    }
}
