package oilbird.mapping.signal;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * A declared way of making an ordinary indication out of readings, for what no bit of a device tells.
 *
 * <p>Only usable readings count: good, and not made doubtful by an indication that the device itself tells. What
 * feature-made indications make doubtful comes later on the signal's way and is not looked at here. Maintenance
 * is looked through by none of them: nothing is told and nothing learnt meanwhile.
 *
 * @param indication name of the indication that it makes, on its own device.
 * @param during what must be told for readings to count, all of it; empty for always.
 * @param settle how long {@code during} must have been so before readings count, and a coincidence is looked for.
 * @param despite indications whose doubt does not count, since the feature is about what happens meanwhile.
 */
public record Feature(String indication, Shape shape, List<Told> during, Duration settle, List<Source> despite) {
    /** A spread of normally distributed samples = this x their median absolute deviation. */
    public static final double DEVIATION_OF_MAD = 1.4826;

    /**
     * A point or indication.
     *
     * @param device id of its device; empty for the feature's own.
     */
    public record Source(String device, String name) {
        @Override
        public String toString() {
            return device.isEmpty() ? name : device + "." + name;
        }
    }

    /** An indication that holds, or that does not. */
    public record Told(Source indication, boolean holds) {}

    /** Which way a value must go. */
    public enum Direction {
        UP,
        DOWN,
        EITHER
    }

    /** A failure limit of a 4-20 mA loop. */
    public enum Limit {
        LOW,
        HIGH
    }

    /** What is looked for. */
    public sealed interface Shape
            permits Plateau, Divergence, Step, Ratio, Fluctuation, Follows, Shift, Missing, Coincidence, Unscheduled {
        /** The points that it looks at, in the order in which they are given. */
        List<Source> points();
    }

    /**
     * A value that stops moving where it normally moves.
     *
     * @param within the value stays within a band of this width, in its unit.
     * @param over for this long.
     * @param companion another value, that meanwhile moves by at least {@code moves} in its own unit; null where
     *     the value always moves. While it rests too, nothing can be told.
     */
    public record Plateau(
            Source of,
            double within,
            Duration over,
            @Nullable Source companion,
            double moves) implements Shape {
        @Override
        public List<Source> points() {
            return companion == null ? List.of(of) : List.of(of, companion);
        }
    }

    /**
     * Two values of one unit that part: the median of {@code one - other - usual} over a time is beyond a limit.
     * It ends at nine tenths of the limit.
     *
     * @param direction UP for one above the other.
     */
    public record Divergence(Source one, Source other, double usual, double beyond, Direction direction, Duration over)
            implements Shape {
        @Override
        public List<Source> points() {
            return List.of(one, other);
        }
    }

    /**
     * A sudden change of level: the median over a time differs from the median over the same time before by more
     * than a limit. A slow drift makes none unless it goes that far within that time.
     *
     * @param remembered how long it holds; it ends sooner when the value is back within half the limit.
     */
    public record Step(Source of, double by, Direction direction, Duration within, Duration remembered)
            implements Shape {
        @Override
        public List<Source> points() {
            return List.of(of);
        }
    }

    /**
     * A value below or above a part of its own usual level: the median over a time, divided by the median of
     * samples taken while it was learnt. Learnt once; it ends when a tenth of the margin is regained.
     *
     * @param below null where a low value says nothing.
     * @param above null where a high value says nothing.
     * @param over time of the median.
     * @param learnOver how long usable samples are taken before anything can be told.
     * @param learntSince any text; another one makes the level be learnt anew.
     */
    public record Ratio(
            Source of,
            @Nullable Double below,
            @Nullable Double above,
            Duration over,
            Duration learnOver,
            String learntSince)
            implements Shape {
        @Override
        public List<Source> points() {
            return List.of(of);
        }
    }

    /**
     * A value that goes up and down where it is normally steady: a drift or one step is none.
     *
     * @param by size of a swing from one turning point to the next, in the value's unit.
     * @param times so many swings.
     * @param over within this time.
     */
    public record Fluctuation(Source of, double by, int times, Duration over) implements Shape {
        @Override
        public List<Source> points() {
            return List.of(of);
        }
    }

    /**
     * A difference of two values of one unit that rises and falls with a third one, as what load heats does. A steady
     * growth of the difference, as drift makes, counts neither for it nor against it.
     *
     * @param by how far the difference at least moves, the steady growth taken away, in its unit.
     * @param over within this time.
     */
    public record Follows(Source one, Source other, Source with, double by, Duration over) implements Shape {
        @Override
        public List<Source> points() {
            return List.of(one, other, with);
        }
    }

    /**
     * Neighbouring registers that all show what their neighbour showed before. It looks at values outside their
     * plausible range too, and at those of another firmware, since that is what a shift makes.
     *
     * @param of in the order of their addresses; at least three of them follow one another directly.
     * @param tolerance part of a value by which it may have moved between two looks, for example 0.1.
     */
    public record Shift(List<Neighbour> of, double tolerance) implements Shape {
        public Shift {
            of = List.copyOf(of);
        }

        @Override
        public List<Source> points() {
            return of.stream().map(Neighbour::point).toList();
        }
    }

    /** One register of 16 bits, at this address, whose reading is the raw value x scale + offset. */
    public record Neighbour(Source point, int address, double scale, double offset) {}

    /**
     * A value that the device does not give, or that cannot be one, although the device answers.
     *
     * @param over for this long.
     * @param loop the failure limit of NAMUR NE 43 beyond which its 4-20 mA loop must be; null for whatever reason.
     */
    public record Missing(
            Source of, Duration over, @Nullable Limit loop) implements Shape {
        @Override
        public List<Source> points() {
            return List.of(of);
        }
    }

    /**
     * Indications that are so at the same time, or one that is so.
     *
     * @param beganWithin longest time between their beginnings; null where they need not have begun together.
     * @param remembered how long it goes on holding after it was last so; null for not at all. That it was not so for
     *     so long can be told only when it has been watched for so long.
     */
    public record Coincidence(
            List<Told> of,
            @Nullable Duration beganWithin,
            @Nullable Duration remembered) implements Shape {
        public Coincidence {
            of = List.copyOf(of);
        }

        @Override
        public List<Source> points() {
            return List.of();
        }
    }

    /**
     * A counter that moved sooner than its period allows, as when somebody starts an analysis by hand.
     *
     * @param tolerance part of the period by which it may come early, for example 0.2.
     * @param remembered how long it holds.
     */
    public record Unscheduled(Source counter, Duration every, double tolerance, Duration remembered) implements Shape {
        @Override
        public List<Source> points() {
            return List.of(counter);
        }
    }

    public Feature {
        during = List.copyOf(during);
        despite = List.copyOf(despite);
    }

    /** The indications that it looks at, each once, in the order in which they are given. */
    public List<Source> indications() {
        List<Source> found = new ArrayList<>();
        if (shape instanceof Coincidence coincidence) {
            coincidence.of().forEach(t -> found.add(t.indication()));
        }
        during.forEach(t -> found.add(t.indication()));
        return found.stream().distinct().toList();
    }
}
