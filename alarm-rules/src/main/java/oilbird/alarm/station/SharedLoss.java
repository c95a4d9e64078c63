package oilbird.alarm.station;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.Shared;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;

/**
 * One thing that carries the traffic of several devices, and whether it is lost.
 *
 * <p>It is lost when no device behind it answers, and at least two do not. Since devices are asked one after the other,
 * the loss of the first is not told at once: it waits until another one answers, which shows that the thing works;
 * or until all are lost; or until 10 s and the slowest of their shortest polling periods have passed, at most 60 s.
 * When it is back, its devices have 45 s to be asked again (a poller's longest wait is 37.5 s) and for their alarms to
 * return, before one that is still silent speaks for itself.
 *
 * <p>Its indications: {@code lost}; {@code returning} for those 45 s. Unless it is lost, neither is told in the first
 * 45 s after something was heard of its devices, so that a restart changes no suppression.
 */
final class SharedLoss implements Timed {
    static final String LOST = "lost";
    static final String RETURNING = "returning";
    private static final Duration LEAST_WAIT = Duration.ofSeconds(10);
    private static final Duration LONGEST_WAIT = Duration.ofSeconds(60);
    private static final long RETURN_NANOS = Duration.ofSeconds(45).toNanos();
    private static final int LEAST_LOST = 2;

    final int timer;
    private final Deadlines deadlines;
    private final Teller teller;
    private final List<Member> members = new ArrayList<>();
    private final IndicationTrack lost;
    private final IndicationTrack returning;
    private final long waitNanos;
    private Phase phase = Phase.UNKNOWN;
    private boolean started;
    private long since;

    private enum Phase {
        /** The first 45 s, until something is known for certain. */
        UNKNOWN,
        WORKS,
        /** Some are lost; whether all are is being found out. */
        DECIDING,
        LOST,
        /** It is back; its devices get their time. */
        RETURNING
    }

    /** Takes the news of an indication that no device tells. */
    @FunctionalInterface
    interface Teller {
        void tell(IndicationTrack synthetic, IndicationState state, Moment at);
    }

    private static final class Member {
        final DeviceTrack device;
        final IndicationTrack communicationLost;
        boolean withheld;

        Member(DeviceTrack device, IndicationTrack communicationLost) {
            this.device = device;
            this.communicationLost = communicationLost;
        }
    }

    SharedLoss(
            Deadlines deadlines, Teller teller, IndicationTrack lost, IndicationTrack returning, List<DeviceTrack> on) {
        this.timer = deadlines.newOwner();
        this.deadlines = deadlines;
        this.teller = teller;
        this.lost = lost;
        this.returning = returning;
        Duration slowest = Duration.ZERO;
        for (DeviceTrack device : on) {
            IndicationTrack communicationLost = device.indications.get(DeviceKind.COMMUNICATION_LOST);
            if (communicationLost == null) {
                throw new IllegalArgumentException(device.facts.id() + " cannot be lost");
            }
            members.add(new Member(device, communicationLost));
            Duration shortest = device.facts.kind().blocks().stream()
                    .map(DeviceKind.Block::period)
                    .filter(p -> !p.isZero())
                    .min(Duration::compareTo)
                    .orElse(Duration.ZERO);
            slowest = slowest.compareTo(shortest) > 0 ? slowest : shortest;
        }
        Duration wait = LEAST_WAIT.plus(slowest);
        waitNanos = (wait.compareTo(LONGEST_WAIT) > 0 ? LONGEST_WAIT : wait).toNanos();
    }

    /** True for what the station must have, to be lost as a whole. */
    static boolean concerns(Shared shared) {
        return shared.kind().carriesTraffic() && shared.devices().size() >= LEAST_LOST;
    }

    /**
     * A device behind it is lost, or still is.
     *
     * @return false where its loss must be told at once.
     */
    boolean withholds(DeviceTrack device, Moment at) {
        Member member = member(device);
        if (device.answersSomehow) {
            // Whatever answers there, it is answered through this.
            works(at);
            return false;
        }
        switch (phase) {
            case UNKNOWN -> {
                member.withheld = true;
                start(at);
            }
            case WORKS -> {
                if (member.communicationLost.raw.state() == IndicationState.HOLDS) {
                    decideIfAll(at);
                    return false;
                }
                member.withheld = true;
                phase = Phase.DECIDING;
                since = at.monotonicNanos();
                deadlines.set(timer, since + waitNanos);
            }
            case DECIDING -> member.withheld = true;
            case LOST -> {
                return false;
            }
            case RETURNING -> {
                decideIfAll(at);
                return false;
            }
        }
        decideIfAll(at);
        return member.withheld;
    }

    /** A device behind it has answered. */
    void answered(DeviceTrack device, Moment at) {
        member(device).withheld = false;
        works(at);
    }

    /** Its connection is left to somebody else, or is taken again: it counts no more, or again. */
    void releasedOrBack(DeviceTrack device, Moment at) {
        member(device).withheld = false;
        if (phase == Phase.DECIDING) {
            decideIfAll(at);
        }
    }

    void due(Moment at) {
        switch (phase) {
            case UNKNOWN, RETURNING -> settle(at);
            case DECIDING -> {
                phase = Phase.WORKS;
                tellWithheld(at);
            }
            case WORKS, LOST -> {}
        }
    }

    private void start(Moment at) {
        if (!started) {
            started = true;
            deadlines.set(timer, at.monotonicNanos() + RETURN_NANOS);
        }
    }

    private void works(Moment at) {
        switch (phase) {
            case UNKNOWN -> {
                start(at);
                tellWithheld(at);
            }
            case WORKS -> {}
            case DECIDING -> {
                if (at.monotonicNanos() > since) {
                    phase = Phase.WORKS;
                    deadlines.set(timer, Deadlines.NEVER);
                    tellWithheld(at);
                }
            }
            case LOST -> {
                phase = Phase.RETURNING;
                since = at.monotonicNanos();
                deadlines.set(timer, since + RETURN_NANOS);
                teller.tell(returning, IndicationState.HOLDS, at);
                teller.tell(lost, IndicationState.DOES_NOT_HOLD, at);
            }
            case RETURNING -> {}
        }
    }

    private void settle(Moment at) {
        phase = Phase.WORKS;
        deadlines.set(timer, Deadlines.NEVER);
        teller.tell(lost, IndicationState.DOES_NOT_HOLD, at);
        teller.tell(returning, IndicationState.DOES_NOT_HOLD, at);
        tellWithheld(at);
    }

    private void decideIfAll(Moment at) {
        int counted = 0;
        for (Member member : members) {
            if (member.device.released) {
                continue;
            }
            if (!member.device.lost || member.device.answersSomehow) {
                return;
            }
            counted++;
        }
        if (counted < LEAST_LOST) {
            return;
        }
        phase = Phase.LOST;
        deadlines.set(timer, Deadlines.NEVER);
        // First that it is lost, so that the devices' own alarms are suppressed before they can rise.
        teller.tell(lost, IndicationState.HOLDS, at);
        teller.tell(returning, IndicationState.DOES_NOT_HOLD, at);
        tellWithheld(at);
    }

    private void tellWithheld(Moment at) {
        for (Member member : members) {
            if (member.withheld) {
                member.withheld = false;
                teller.tell(member.communicationLost, IndicationState.HOLDS, at);
            }
        }
    }

    private Member member(DeviceTrack device) {
        for (Member member : members) {
            if (member.device == device) {
                return member;
            }
        }
        throw new IllegalArgumentException(device.facts.id() + " is not behind this");
    }
}
