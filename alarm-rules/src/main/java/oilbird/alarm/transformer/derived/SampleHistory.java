package oilbird.alarm.transformer.derived;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import oilbird.alarm.transformer.gas.GasSample;
import org.jspecify.annotations.Nullable;

/**
 * The monitor's samples that are kept for trends: dense over the window of fast rises, thinner over forty windows,
 * thinnest over 25 months. Bounded: at most some 500. Times are wall times and rise.
 */
public final class SampleHistory {
    // Of the window: the rate over it rests on up to 96 samples.
    private static final int DENSE = 96;
    private static final int MIDDLE_WINDOWS = 40;
    private static final Duration THIN = Duration.ofDays(5);
    private static final Duration LONGEST = Duration.ofDays(760);

    private final Duration window;
    private List<GasSample> samples = new ArrayList<>();

    /**
     * @param stored as kept by an earlier run.
     */
    SampleHistory(Duration window, List<GasSample> stored) {
        this.window = window;
        samples.addAll(stored);
        samples.sort(Comparator.comparing(GasSample::at));
    }

    List<GasSample> samples() {
        return List.copyOf(samples);
    }

    @Nullable
    GasSample last() {
        return samples.isEmpty() ? null : samples.get(samples.size() - 1);
    }

    /**
     * Keeps a sample unless it is dated before the last one or too close to it.
     *
     * @return what fell out of the history for it; null where the sample is not kept.
     */
    @Nullable
    List<GasSample> keep(GasSample sample) {
        GasSample last = last();
        if (last != null && Duration.between(last.at(), sample.at()).compareTo(window.dividedBy(DENSE)) < 0) {
            return null;
        }
        List<GasSample> kept = new ArrayList<>();
        List<GasSample> dropped = new ArrayList<>();
        Instant previous = Instant.MIN;
        for (GasSample old : samples) {
            Duration age = Duration.between(old.at(), sample.at());
            boolean near = age.compareTo(LONGEST) <= 0
                    && (previous.equals(Instant.MIN)
                            || Duration.between(previous, old.at()).compareTo(spacing(age)) >= 0);
            if (near) {
                kept.add(old);
                previous = old.at();
            } else {
                dropped.add(old);
            }
        }
        kept.add(sample);
        samples = kept;
        return dropped;
    }

    /** The least distance of two kept samples of that age; a little less than stated, since periods waver. */
    private Duration spacing(Duration age) {
        if (age.compareTo(window.multipliedBy(5).dividedBy(4)) <= 0) {
            return Duration.ZERO;
        }
        Duration stated = age.compareTo(window.multipliedBy(MIDDLE_WINDOWS)) <= 0 ? window.dividedBy(4) : THIN;
        Duration longer = stated.compareTo(window.dividedBy(4)) < 0 ? window.dividedBy(4) : stated;
        return longer.multipliedBy(9).dividedBy(10);
    }

    /** The kept sample nearest to a time, or null where none lies within {@code reach}. */
    @Nullable
    GasSample nearest(Instant at, Duration reach) {
        GasSample best = null;
        for (GasSample sample : samples) {
            if (best == null || distance(sample, at).compareTo(distance(best, at)) < 0) {
                best = sample;
            }
        }
        return best != null && distance(best, at).compareTo(reach) <= 0 ? best : null;
    }

    private static Duration distance(GasSample sample, Instant at) {
        return Duration.between(sample.at(), at).abs();
    }

    /** The newest kept sample at least {@code age} older than {@code at}, or null. */
    @Nullable
    GasSample before(Instant at, Duration age) {
        GasSample found = null;
        for (GasSample sample : samples) {
            if (Duration.between(sample.at(), at).compareTo(age) >= 0) {
                found = sample;
            }
        }
        return found;
    }
}
