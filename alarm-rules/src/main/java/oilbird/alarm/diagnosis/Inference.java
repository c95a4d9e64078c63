package oilbird.alarm.diagnosis;

import java.time.Duration;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * The numbers behind a diagnosis, so that anybody can compute the posterior again.
 *
 * @param window time in which causes and unlisted reasons may have begun: {@code prior = 1 - exp(-rate x window)}.
 * @param causes every cause that produces a sign that holds.
 * @param evidence probability of the signs that hold, given those that do not.
 * @param method how the sum over all combinations of causes was taken.
 * @param error greatest error of any posterior; 0 where the sum is exact.
 */
public record Inference(
        Duration window, List<CauseTerm> causes, List<SignTerm> signs, double evidence, Method method, double error) {
    /** How the sum was taken. */
    public enum Method {
        /** Over the sets of signs produced so far: exact. */
        EXACT,
        /** The same after conditioning on the causes that tie the signs together: exact. */
        CONDITIONED,
        /** Over all combinations of at most a few causes; the rest bounds the error. */
        BOUNDED
    }

    /**
     * A cause.
     *
     * @param support factor of soft evidence.
     * @param absent factor of the signs that it should have produced and did not.
     */
    public record CauseTerm(
            String cause,
            double perYear,
            String origin,
            double prior,
            double support,
            double absent,
            double posterior,
            List<Link> links) {
        public CauseTerm {
            links = List.copyOf(links);
        }
    }

    /**
     * A sign that a cause produces.
     *
     * @param within time by which it shows.
     * @param lasts how long it holds at most with the cause; null for as long as the cause is there.
     * @param counted false where its absence does not count, it cannot be told, or it has held for too long to be the
     *     cause's.
     */
    public record Link(
            Sign sign,
            double probability,
            Duration within,
            @Nullable Duration lasts,
            Diagnosis.Told told,
            boolean counted) {}

    /**
     * A sign that holds.
     *
     * @param otherwise probability that it holds for a reason that no fault model lists.
     * @param unlisted posterior of that.
     */
    public record SignTerm(Sign sign, double perYear, String origin, double otherwise, double unlisted) {}

    public Inference {
        causes = List.copyOf(causes);
        signs = List.copyOf(signs);
    }
}
