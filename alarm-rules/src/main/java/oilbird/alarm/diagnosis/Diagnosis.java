package oilbird.alarm.diagnosis;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.state.AlarmId;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * What is made of signs that hang together: the likely causes behind them, and what follows.
 *
 * <p>It annotates: no alarm is hidden, delayed or changed by it.
 *
 * @param id of the event that opened it; it keeps it while its signs change.
 * @param subject id of the asset or of the shared thing that it is about.
 * @param assets ids of the assets concerned.
 * @param since when its first sign showed.
 * @param causes ranked by posterior, the likeliest first; those below {@link #LISTED} are left out.
 * @param signs what is known of every sign that a listed cause produces.
 * @param unexplained signs that hold and that most likely no cause of the fault models has produced.
 * @param firstOut which sign came first, as far as polling can tell.
 * @param doubtful readings that a likely cause makes doubtful or worthless.
 * @param grouped alarms that are consequences, shown under the diagnosis.
 * @param apart alarms of the safety and equipment-protection classes that belong to it and always stand for themselves.
 * @param keepAway true where a cause to be reckoned with keeps people away.
 * @param inference how the posterior was found, and how exact it is.
 */
public record Diagnosis(
        String id,
        String subject,
        List<String> assets,
        Moment since,
        Moment at,
        List<RankedCause> causes,
        List<SignState> signs,
        List<Sign> unexplained,
        FirstOut firstOut,
        List<DoubtedReading> doubtful,
        List<AlarmId> grouped,
        List<AlarmId> apart,
        boolean keepAway,
        Inference inference) {
    /** Causes from this posterior on are listed. */
    public static final double LISTED = 0.01;
    /** From this posterior on a cause is called likely, and what it makes doubtful is. */
    public static final double LIKELY = 0.5;
    /** From this posterior on a cause that keeps people away does so: one in ten is enough. */
    public static final double KEEPS_AWAY = 0.1;

    /** What is known of a sign. */
    public enum Told {
        HOLDS,
        DOES_NOT_HOLD,
        CANNOT_BE_TOLD
    }

    /**
     * A cause with its posterior and the reasons.
     *
     * @param cause id of the cause on its device: {@code gas-t1.cabinet-fan-worn}.
     * @param says in plain words.
     * @param asset id of the asset where it is.
     * @param device id of the device, or null for a shared thing.
     * @param prior probability before any sign was looked at.
     * @param posterior probability given everything that is known.
     * @param explains signs that hold and that it produces.
     * @param against signs that it should have produced and that do not hold.
     * @param awaited signs that it may still produce: they do not hold and need not yet.
     * @param support soft evidence that counted for or against it.
     */
    public record RankedCause(
            String cause,
            String says,
            Trouble trouble,
            String asset,
            @Nullable String device,
            double prior,
            double posterior,
            List<Sign> explains,
            List<Sign> against,
            List<Sign> awaited,
            List<SupportSeen> support,
            boolean keepAway,
            String call,
            @Nullable Duration respondWithin,
            List<String> spares,
            List<String> tools,
            List<String> firstChecks) {
        public RankedCause {
            explains = List.copyOf(explains);
            against = List.copyOf(against);
            awaited = List.copyOf(awaited);
            support = List.copyOf(support);
            spares = List.copyOf(spares);
            tools = List.copyOf(tools);
            firstChecks = List.copyOf(firstChecks);
        }
    }

    /**
     * Soft evidence.
     *
     * @param signal reading or indication.
     * @param text what was looked for: {@code below 100 rpm}.
     * @param seen null where it cannot be told.
     * @param factor what it multiplied the odds of the cause by.
     */
    public record SupportSeen(
            SignalId signal, String text, @Nullable Boolean seen, double factor) {}

    /**
     * A sign.
     *
     * @param since when it began to hold; null while it does not.
     * @param uncertainty by how much earlier it may have begun: polling period of its block.
     * @param asLastTold true where it cannot be told now and is taken as it was last told.
     */
    public record SignState(Sign sign, Told told, @Nullable Moment since, Duration uncertainty, boolean asLastTold) {}

    /**
     * Which sign came first.
     *
     * @param uncertainty by how much earlier it may have come.
     * @param orOneOf signs that may have come before it within the uncertainty of polling; empty where it is certain.
     */
    public record FirstOut(Sign sign, Moment at, Duration uncertainty, List<Sign> orOneOf) {
        public FirstOut {
            orOneOf = List.copyOf(orOneOf);
        }
    }

    /**
     * A reading that a likely cause makes doubtful: an annotation, not its quality.
     *
     * @param until for how many update periods or analyses after the cause's signs are gone.
     */
    public record DoubtedReading(SignalId reading, boolean worthless, String cause, int periodsAfter) {}

    public Diagnosis {
        assets = List.copyOf(assets);
        causes = List.copyOf(causes);
        signs = List.copyOf(signs);
        unexplained = List.copyOf(unexplained);
        doubtful = List.copyOf(doubtful);
        grouped = List.copyOf(grouped);
        apart = List.copyOf(apart);
    }

    /** The likeliest cause, or null where no listed one is to be reckoned with. */
    public @Nullable RankedCause likeliest() {
        return causes.isEmpty() ? null : causes.get(0);
    }

    /** Whether a cause to be reckoned with is trouble of the transformer. */
    public boolean transformerTrouble() {
        return causes.stream().anyMatch(c -> c.trouble() == Trouble.TRANSFORMER && c.posterior() >= KEEPS_AWAY);
    }
}
