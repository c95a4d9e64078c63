package oilbird.alarm.check;

import java.util.ArrayList;
import java.util.Collection;
import java.util.Comparator;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.function.Predicate;
import oilbird.alarm.diagnosis.BoundCheck;
import oilbird.alarm.diagnosis.CauseInstance;
import oilbird.alarm.diagnosis.DeviceChecks;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.StationCauses;

/**
 * Which check comes next: within the lowest exposure that still has a useful one, the one that is expected to tell most
 * per minute. A fixed order, where a fault model gives one, is obeyed instead.
 */
public final class CheckChoice {
    /** A check is useful from this many bits on; below that a person's time tells nothing. */
    public static final double USEFUL = 0.05;
    /** How long a check takes where nobody said: our own estimate. */
    private static final int MINUTES = 10;

    private static final Comparator<Weighed> ORDER = Comparator.comparingInt(
                    (Weighed w) -> w.check().check().exposure())
            .thenComparingDouble(w -> -w.bitsPerMinute());

    private CheckChoice() {}

    /**
     * A check with what it is expected to tell.
     *
     * @param bits expected information about the causes.
     * @param bitsPerMinute the same by its minutes.
     */
    public record Weighed(BoundCheck check, double bits, double bitsPerMinute) {}

    /**
     * The checks of all devices that a listed cause is about, in the order of the station.
     */
    static List<BoundCheck> about(StationCauses network, Belief belief) {
        Set<String> devices = new LinkedHashSet<>();
        for (Belief.Ranked ranked : belief.ranked()) {
            if (ranked.probability() >= Diagnosis.LISTED) {
                network.cause(ranked.cause()).ifPresent(c -> devicesOf(c, devices));
            }
        }
        return network.checks().stream()
                .filter(d -> devices.contains(d.device()))
                .flatMap(d -> d.checks().stream())
                .toList();
    }

    private static void devicesOf(CauseInstance cause, Set<String> devices) {
        if (cause.device() != null) {
            devices.add(cause.device().id());
        }
        if (cause.shared() != null) {
            devices.addAll(cause.shared().devices());
        }
    }

    /** Keep-away withdraws every check of exposure 1 and above near the asset. */
    static boolean withdrawn(BoundCheck check, Collection<String> keptAway) {
        return check.check().exposure() >= 1 && keptAway.contains(check.asset());
    }

    /**
     * The checks that are useful, the next one first.
     *
     * @param open what may be proposed at all.
     */
    public static List<Weighed> computed(Belief belief, List<BoundCheck> checks, Predicate<BoundCheck> open) {
        List<Weighed> weighed = new ArrayList<>();
        for (BoundCheck check : checks) {
            if (!check.check().tells() || !open.test(check)) {
                continue;
            }
            Weighed each = weighed(belief, check);
            if (each.bits() >= USEFUL) {
                weighed.add(each);
            }
        }
        weighed.sort(ORDER);
        return weighed;
    }

    /** The check of the lowest exposure that can speak for a cause; of equal ones that which speaks clearest a minute. */
    static Optional<BoundCheck> confirming(String cause, List<BoundCheck> checks, Predicate<BoundCheck> open) {
        return checks.stream()
                .filter(open)
                .filter(c -> c.tellsOf(cause) && canSpeakFor(c, cause))
                .min(Comparator.comparingInt((BoundCheck c) -> c.check().exposure())
                        .thenComparingDouble(c -> -clearness(c, cause) / minutes(c)));
    }

    private static boolean canSpeakFor(BoundCheck check, String cause) {
        for (int outcome = 0; outcome < check.otherwise().size(); outcome++) {
            if (check.probability(outcome, cause) > SPEAKS * check.probability(outcome, null)) {
                return true;
            }
        }
        return false;
    }

    /** How clearly its outcomes tell the cause from everything else: the relative entropy of the two. */
    private static double clearness(BoundCheck check, String cause) {
        double nats = 0;
        for (int outcome = 0; outcome < check.otherwise().size(); outcome++) {
            double with = check.probability(outcome, cause);
            nats += with * StrictMath.log(with / check.probability(outcome, null));
        }
        return nats;
    }

    private static int minutes(BoundCheck check) {
        Integer minutes = check.check().minutes();
        return minutes == null ? MINUTES : minutes;
    }

    /** How many times likelier an outcome has to be with a cause than otherwise to speak for it. */
    static final double SPEAKS = 1.2;

    /** All of some checks by exposure, and then by what they are expected to tell a minute; equal ones as they come. */
    public static List<BoundCheck> inOrder(Belief belief, List<BoundCheck> checks) {
        List<Weighed> weighed =
                new ArrayList<>(checks.stream().map(c -> weighed(belief, c)).toList());
        weighed.sort(ORDER);
        return weighed.stream().map(Weighed::check).toList();
    }

    static Weighed weighed(Belief belief, BoundCheck check) {
        double bits = check.check().tells() ? belief.bits(check) : 0;
        return new Weighed(check, bits, bits / minutes(check));
    }

    /** The first check of a fixed order that is open; empty where the device has no fixed order or it is done. */
    static Optional<BoundCheck> fixed(DeviceChecks device, Predicate<BoundCheck> open) {
        return device.order().stream()
                .flatMap(id -> device.check(id).stream())
                .filter(open)
                .findFirst();
    }
}
