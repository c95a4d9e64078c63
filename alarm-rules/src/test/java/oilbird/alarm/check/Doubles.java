package oilbird.alarm.check;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.Windlow;
import oilbird.alarm.diagnosis.BoundCheck;
import oilbird.alarm.diagnosis.Cause;
import oilbird.alarm.diagnosis.CauseInstance;
import oilbird.alarm.diagnosis.DeviceChecks;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Inference;
import oilbird.alarm.diagnosis.Proving;
import oilbird.alarm.diagnosis.Rate;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.rule.Trouble;
import oilbird.mapping.signal.Caution;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.Measurement;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.signal.Verdict;
import oilbird.mapping.signal.Work;
import oilbird.mapping.text.Position;
import org.jspecify.annotations.Nullable;

/** Small networks with checks, for tests; causes are named without their device. */
final class Doubles {
    static final String DEVICE = "gas-t1";
    static final Sign FAN = Sign.of(new SignalId(DEVICE, "cabinet-fan-stopped"));
    private static final Position NOWHERE = new Position("", 1, 1);

    private Doubles() {}

    static String id(String cause) {
        return DEVICE + "." + cause;
    }

    /** A sign that holds and causes that may have produced it, each with its prior and how surely it produces it. */
    static Inference inference(double leak, Map<String, double[]> causes) {
        List<Inference.CauseTerm> terms = new ArrayList<>();
        double silent = 1 - leak;
        causes.forEach((cause, of) -> terms.add(new Inference.CauseTerm(
                id(cause),
                1,
                "test",
                of[0],
                1,
                1,
                0,
                List.of(new Inference.Link(FAN, of[1], Duration.ZERO, null, Diagnosis.Told.HOLDS, true)))));
        for (double[] of : causes.values()) {
            silent *= 1 - of[0] * of[1];
        }
        return new Inference(
                Duration.ofDays(1),
                terms,
                List.of(new Inference.SignTerm(FAN, 1, "test", leak, 0)),
                1 - silent,
                Inference.Method.EXACT,
                0);
    }

    static Diagnosis diagnosis(Inference inference) {
        return new Diagnosis(
                "d1",
                "t1",
                List.of("t1"),
                at(0),
                at(0),
                List.of(),
                List.of(),
                List.of(),
                new Diagnosis.FirstOut(FAN, at(0), Duration.ZERO, List.of()),
                List.of(),
                List.of(),
                List.of(),
                false,
                inference);
    }

    static Moment at(double minutes) {
        return new Moment((long) (minutes * 60e9), (long) (minutes * 60e3), true);
    }

    static StationCauses network(List<String> causes, Proving proving, List<String> order, FirstCheck... checks) {
        StationFacts.Device device =
                new StationFacts.Device(DEVICE, "gas monitor", "t1", Windlow.GAS_MONITOR, List.of());
        StationFacts.Asset asset = new StationFacts.Asset("t1", "Transformer 1", "transformer");
        List<CauseInstance> instances = new ArrayList<>();
        for (String cause : causes) {
            instances.add(new CauseInstance(
                    id(cause),
                    new Cause(
                            cause,
                            cause,
                            Trouble.MONITOR,
                            new Rate(1, "test"),
                            List.of(),
                            List.of(),
                            List.of(),
                            false,
                            "monitor technician",
                            null,
                            List.of(),
                            List.of(),
                            List.of(),
                            proving,
                            NOWHERE),
                    cause,
                    List.of(asset),
                    device,
                    null,
                    List.of(new CauseInstance.Edge(0, 0.9, Duration.ZERO, null)),
                    List.of(),
                    List.of()));
        }
        List<BoundCheck> bound = new ArrayList<>();
        for (FirstCheck check : checks) {
            bound.add(bound(check, causes));
        }
        return new StationCauses(
                List.of(FAN),
                List.of(new Rate(1, "test")),
                instances,
                List.of(new DeviceChecks(
                        DEVICE, "t1", bound, order.stream().map(Doubles::id).toList(), List.of(), null)));
    }

    static BoundCheck bound(FirstCheck check, List<String> causes) {
        Map<String, List<Double>> given = new LinkedHashMap<>();
        List<Double> otherwise = new ArrayList<>();
        for (int i = 0; i < check.outcomes().size(); i++) {
            otherwise.add(check.given(i, FirstCheck.Outcome.OTHERWISE));
        }
        for (String cause : causes) {
            if (check.outcomes().stream().anyMatch(o -> o.given().containsKey(cause))) {
                List<Double> distribution = new ArrayList<>();
                for (int i = 0; i < check.outcomes().size(); i++) {
                    distribution.add(check.given(i, cause));
                }
                given.put(id(cause), distribution);
            }
        }
        return new BoundCheck(
                id(check.id()),
                check,
                DEVICE,
                "t1",
                given,
                otherwise,
                check.outcomes().stream()
                        .map(o -> o.proves() == null ? "" : id(o.proves()))
                        .toList(),
                check.work().repairs().stream().map(Doubles::id).toList());
    }

    /** A check that only tells something. */
    static FirstCheck look(String id, int exposure, int minutes, FirstCheck.Outcome... outcomes) {
        return check(id, exposure, minutes, Work.LOOKING, null, null, outcomes);
    }

    static FirstCheck check(
            String id,
            int exposure,
            int minutes,
            Work work,
            @Nullable Measurement measurement,
            @Nullable String authorisation,
            FirstCheck.Outcome... outcomes) {
        return new FirstCheck(
                id,
                exposure,
                "look",
                null,
                List.of(outcomes),
                List.of(Caution.S30),
                minutes,
                List.of(),
                authorisation,
                null,
                work,
                measurement,
                List.of());
    }

    /** An outcome by what it says: {@code fan 0.9 plug 0.1}. */
    static FirstCheck.Outcome outcome(String finding, String given) {
        return outcome(finding, given, List.of(), null);
    }

    static FirstCheck.Outcome outcome(String finding, String given, List<Verdict> when, @Nullable String proves) {
        Map<String, Double> map = new LinkedHashMap<>();
        String[] words = given.isEmpty() ? new String[0] : given.split(" ");
        for (int i = 0; i < words.length; i += 2) {
            map.put(words[i], Double.parseDouble(words[i + 1]));
        }
        return new FirstCheck.Outcome(finding, finding, when, map, null, proves, null);
    }
}
