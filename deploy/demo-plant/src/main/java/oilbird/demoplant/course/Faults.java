package oilbird.demoplant.course;

import java.util.ArrayList;
import java.util.List;

/**
 * The faults of a plant and how far each has gone at a time. Immutable.
 *
 * <p>Times are plant time in milliseconds; a fault that is over has gone by repair, so what it did by itself ends at
 * once and what is slow by nature (heat, oil) returns slowly.
 */
public final class Faults {
    /** Nothing is wrong. */
    public static final Faults NONE = new Faults(List.of());

    private final List<Injection> injections;

    public Faults(List<Injection> injections) {
        this.injections = List.copyOf(injections);
    }

    public List<Injection> injections() {
        return injections;
    }

    public Faults with(Injection injection) {
        List<Injection> more = new ArrayList<>(injections);
        more.add(injection);
        return new Faults(more);
    }

    /** Those of one name at one target, in the order they were given. */
    public List<Injection> of(String fault, String target) {
        List<Injection> found = new ArrayList<>();
        for (Injection injection : injections) {
            if (injection.fault().equals(fault) && injection.target().equals(target)) {
                found.add(injection);
            }
        }
        return found;
    }

    public boolean on(String fault, String target, long at) {
        for (Injection injection : injections) {
            if (injection.fault().equals(fault) && injection.target().equals(target) && injection.isOn(at)) {
                return true;
            }
        }
        return false;
    }

    /** Sum of the strengths of what is on; 0 when nothing is. */
    public double strength(String fault, String target, long at) {
        double sum = 0;
        for (Injection injection : of(fault, target)) {
            sum += injection.isOn(at) ? injection.strength() : 0;
        }
        return sum;
    }

    /** Milliseconds since the latest beginning of what is on; -1 when nothing is. */
    public long sinceBegin(String fault, String target, long at) {
        long since = -1;
        for (Injection injection : of(fault, target)) {
            if (injection.isOn(at)) {
                long mine = at - injection.fromMillis();
                since = since < 0 ? mine : Math.min(since, mine);
            }
        }
        return since;
    }

    /** Milliseconds since the latest end; -1 when none has ended. */
    public long sinceEnd(String fault, String target, long at) {
        long since = -1;
        for (Injection injection : of(fault, target)) {
            if (at >= injection.untilMillis()) {
                long mine = at - injection.untilMillis();
                since = since < 0 ? mine : Math.min(since, mine);
            }
        }
        return since;
    }

    /** 0 at the beginning, evenly up to 1 (times strength) after {@code lasting} ms, and 0 again from its end. */
    public double ramp(String fault, String target, long at, long lasting) {
        double sum = 0;
        for (Injection injection : of(fault, target)) {
            if (injection.isOn(at)) {
                sum += injection.strength() * Math.min(1, (at - injection.fromMillis()) / (double) lasting);
            }
        }
        return sum;
    }

    /** Towards 1 (times strength) with a time constant while it is on, and back to 0 with the same one after. */
    public double lag(String fault, String target, long at, long timeConstant) {
        double sum = 0;
        for (Injection injection : of(fault, target)) {
            long from = injection.fromMillis();
            if (at <= from) {
                continue;
            }
            long end = Math.min(at, injection.untilMillis());
            double reached = 1 - StrictMath.exp(-(end - from) / (double) timeConstant);
            sum += injection.strength() * reached * StrictMath.exp(-(at - end) / (double) timeConstant);
        }
        return sum;
    }

    /** Hours (times strength) for which it has been on in all; what it has made stays when it ends. */
    public double hoursOn(String fault, String target, long at) {
        double hours = 0;
        for (Injection injection : of(fault, target)) {
            long end = Math.min(at, injection.untilMillis());
            hours += injection.strength() * Math.max(0, end - injection.fromMillis()) / 3_600_000.0;
        }
        return hours;
    }

    /** The time at which what is on began to hold a value still; the time itself when nothing is on. */
    public long heldAt(String fault, String target, long at) {
        long since = sinceBegin(fault, target, at);
        return since < 0 ? at : at - since;
    }
}
