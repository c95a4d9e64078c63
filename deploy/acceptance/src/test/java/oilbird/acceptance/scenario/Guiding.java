package oilbird.acceptance.scenario;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import oilbird.alarm.check.Belief;
import oilbird.alarm.check.GuidedFaultFinding;
import oilbird.alarm.check.GuidedInput;
import oilbird.alarm.check.GuidedSession;
import oilbird.alarm.check.GuidedStep;
import oilbird.alarm.check.Next;
import oilbird.alarm.diagnosis.BoundCheck;
import oilbird.alarm.diagnosis.DeviceChecks;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.alarm.state.Actor;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Work;

/**
 * A simulated technician who works through first checks on a station with a known true cause. He finds each outcome as
 * often as the library says that the true cause shows it: this measures the order of the checks, not the library.
 */
final class Guiding {
    private static final Actor TECHNICIAN = new Actor("simulated technician", "test");
    private static final int MOST_STEPS = 60;

    private final StationCauses network;
    private final GuidedFaultFinding finding;

    Guiding(StationCauses network) {
        this.network = network;
        this.finding = new GuidedFaultFinding(network);
    }

    /**
     * What came of one search.
     *
     * @param found true where the true cause was found, false where another one was or nothing.
     * @param steps checks that were done.
     * @param exposure the highest of them; 0 where none was done.
     * @param minutes of all of them.
     */
    record Search(boolean found, boolean wrong, int steps, int exposure, int minutes) {}

    /** Which check comes next. */
    interface Order {
        Optional<BoundCheck> next(GuidedSession session);
    }

    /** As the product proposes them. */
    Order computed() {
        return session -> {
            Next next = finding.next(session, List.of());
            return next instanceof Next.Check check
                    ? Optional.of(check.proposal().check())
                    : Optional.empty();
        };
    }

    /**
     * The fixed list: the first checks of the causes that are listed, as their fault model lists them, the likeliest
     * cause first, screen checks first. It is what the diagnosis shows without any computation.
     */
    Order listed(Diagnosis diagnosis) {
        return inTurn(list(diagnosis));
    }

    /** The same list, and after its end everything else that the devices concerned have, by exposure and as written. */
    Order listedToTheEnd(Diagnosis diagnosis) {
        List<BoundCheck> list = new ArrayList<>(list(diagnosis));
        List<String> devices = new ArrayList<>();
        for (Diagnosis.RankedCause cause : diagnosis.causes()) {
            network.cause(cause.cause()).ifPresent(c -> {
                if (c.device() != null) {
                    devices.add(c.device().id());
                }
                if (c.shared() != null) {
                    devices.addAll(c.shared().devices());
                }
            });
        }
        network.checks().stream()
                .filter(d -> devices.contains(d.device()))
                .flatMap(d -> d.checks().stream())
                .filter(c -> !c.check().work().act().changes() && !list.contains(c))
                .sorted(Comparator.comparingInt(c -> c.check().exposure()))
                .forEach(list::add);
        return inTurn(list);
    }

    private List<BoundCheck> list(Diagnosis diagnosis) {
        List<BoundCheck> list = new ArrayList<>();
        for (Diagnosis.RankedCause cause : diagnosis.causes()) {
            for (String name : cause.firstChecks()) {
                network.check(cause.device() + "." + name)
                        .filter(c -> !list.contains(c))
                        .ifPresent(list::add);
            }
        }
        list.sort(Comparator.comparingInt(c -> c.check().exposure()));
        return list;
    }

    private static Order inTurn(List<BoundCheck> list) {
        return session -> list.stream()
                .filter(c -> c.check().tells())
                .filter(c -> session.answer(c.id()).isEmpty())
                .findFirst();
    }

    /** Searches until a cause is found or the order has nothing more. */
    Search search(Diagnosis diagnosis, String trueCause, Order order, long technician) {
        GuidedSession session =
                take(finding.begin("simulated", diagnosis), new GuidedInput.WordsSaved(entry(0), "with the scenario"));
        int steps = 0;
        int exposure = 0;
        int minutes = 0;
        while (session.found() == null && steps < MOST_STEPS) {
            Optional<BoundCheck> next = order.next(session);
            if (next.isEmpty()) {
                break;
            }
            BoundCheck check = next.get();
            session = prepare(session, check);
            session = take(
                    session,
                    new GuidedInput.Answered(
                            entry(session.version()), check.id(), outcome(check, trueCause, technician), ""));
            steps++;
            exposure = Math.max(exposure, check.check().exposure());
            Integer each = check.check().minutes();
            minutes += each == null ? 10 : each;
        }
        GuidedSession.Found found = session.found();
        boolean right = found != null && found.cause().equals(trueCause);
        return new Search(right, found != null && !right, steps, exposure, minutes);
    }

    /** The highest exposure of any check or repair that is proposed while people keep away from every asset. */
    int exposureWhileKeptAway(Diagnosis diagnosis) {
        List<String> everywhere =
                network.checks().stream().map(DeviceChecks::asset).distinct().toList();
        GuidedSession session =
                take(finding.begin("simulated", diagnosis), new GuidedInput.WordsSaved(entry(0), "with the scenario"));
        int highest = 0;
        for (int step = 0; step < MOST_STEPS; step++) {
            Next next = finding.next(session, everywhere);
            List<Next.Proposal> proposed = new ArrayList<>();
            if (next instanceof Next.Check check) {
                proposed.add(check.proposal());
                proposed.addAll(check.others());
            } else if (next instanceof Next.PutRight right) {
                proposed.addAll(right.steps());
            }
            for (Next.Proposal each : proposed) {
                highest = Math.max(highest, each.check().check().exposure());
            }
            if (!(next instanceof Next.Check check)) {
                return highest;
            }
            session = take(
                    session,
                    new GuidedInput.Answered(
                            entry(session.version()), check.proposal().check().id(), 0, ""));
        }
        return highest;
    }

    private GuidedSession prepare(GuidedSession session, BoundCheck check) {
        GuidedSession prepared = session;
        for (Work.Preparation each : check.check().work().prepared()) {
            prepared = take(prepared, new GuidedInput.Prepared(entry(prepared.version()), check.id(), each));
        }
        return check.check().authorisation() == null
                ? prepared
                : take(prepared, new GuidedInput.Authorised(entry(prepared.version()), check.id(), "simulated"));
    }

    private GuidedSession take(GuidedSession session, GuidedInput input) {
        GuidedStep step = finding.step(session, input);
        if (step instanceof GuidedStep.Taken taken) {
            return taken.session();
        }
        throw new IllegalStateException(String.valueOf(step));
    }

    private static GuidedInput.Entry entry(long version) {
        Moment at = new Moment(version * 60_000_000_000L, version * 60_000, true);
        return new GuidedInput.Entry("input " + version, TECHNICIAN, at, version, null);
    }

    /** One technician finds the same at one check, whenever he comes to it. */
    private static int outcome(BoundCheck check, String cause, long technician) {
        List<Double> of = check.given().getOrDefault(cause, check.otherwise());
        double left = new Random(technician * 1_000_003L + check.id().hashCode()).nextDouble();
        for (int outcome = 0; outcome < of.size(); outcome++) {
            left -= of.get(outcome);
            if (left < 0) {
                return outcome;
            }
        }
        return of.size() - 1;
    }

    /**
     * Which cause a technician meets. Of a silent device the plant only knows that nothing comes from it; where the fault
     * model knows what it may be, cable, converter, address or fuse, each technician meets one of these, by their rates.
     */
    static String meant(Diagnosis diagnosis, String cause, long technician) {
        if (!cause.endsWith(".communication-lost")) {
            return cause;
        }
        String device = cause.substring(0, cause.indexOf('.'));
        List<Diagnosis.RankedCause> finer = diagnosis.causes().stream()
                .filter(c -> device.equals(c.device()) && !c.cause().equals(cause))
                .filter(c -> c.explains().stream().allMatch(s -> s.toString().equals(device + "/communication-lost")))
                .toList();
        double left = new Random(technician).nextDouble()
                * finer.stream().mapToDouble(Diagnosis.RankedCause::prior).sum();
        for (Diagnosis.RankedCause each : finer) {
            left -= each.prior();
            if (left < 0) {
                return each.cause();
            }
        }
        return cause;
    }

    /** The belief that a diagnosis begins with, for the test's own account. */
    static double start(Diagnosis diagnosis, String cause) {
        return Belief.of(diagnosis.inference()).posterior(cause);
    }
}
