package oilbird.alarm.check;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.diagnosis.BoundCheck;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Inference;
import oilbird.alarm.diagnosis.Sign;

/**
 * What is believed about the causes of one diagnosis: the posterior over what may be there, which is nothing that is
 * listed, one cause, or two at once.
 *
 * <p>Weights are those of the diagnosis network, taken from the numbers that the diagnosis publishes, so that anybody
 * can compute them again. More than two causes at once are left out; {@link #coverage} says how much that was.
 *
 * @param hypotheses in the order of the network; probabilities come to 1.
 * @param coverage what part of the network's whole weight the hypotheses had, 0 to 1.
 */
public record Belief(List<Hypothesis> hypotheses, double coverage) {
    /** Which causes are there together: none that is listed, one or two, by id. */
    public record Hypothesis(List<String> causes, double probability) {
        public Hypothesis {
            causes = List.copyOf(causes);
        }

        /** Of two causes at once either decides what is found, with equal chance. */
        double of(BoundCheck check, int outcome) {
            if (causes.isEmpty()) {
                return check.probability(outcome, null);
            }
            double sum = 0;
            for (String cause : causes) {
                sum += check.probability(outcome, cause);
            }
            return sum / causes.size();
        }

        Hypothesis times(double factor) {
            return new Hypothesis(causes, probability * factor);
        }
    }

    /** Nothing is known. */
    public static final Belief NONE = new Belief(List.of(new Hypothesis(List.of(), 1)), 1);

    public Belief {
        hypotheses = List.copyOf(hypotheses);
    }

    /** The belief that a diagnosis begins with. */
    public static Belief of(Inference inference) {
        List<Inference.CauseTerm> terms = inference.causes();
        Map<Sign, Integer> place = new LinkedHashMap<>();
        double[] leak = new double[inference.signs().size()];
        for (int sign = 0; sign < leak.length; sign++) {
            place.put(inference.signs().get(sign).sign(), sign);
            leak[sign] = inference.signs().get(sign).otherwise();
        }
        double none = 1;
        double[] odds = new double[terms.size()];
        double[][] strength = new double[terms.size()][leak.length];
        for (int cause = 0; cause < odds.length; cause++) {
            Inference.CauseTerm term = terms.get(cause);
            none *= 1 - term.prior();
            odds[cause] = term.prior() * term.support() * term.absent() / (1 - term.prior());
            for (Inference.Link link : term.links()) {
                Integer at = place.get(link.sign());
                if (at != null && link.counted() && link.told() == Diagnosis.Told.HOLDS) {
                    strength[cause][at] = link.probability();
                }
            }
        }
        List<Hypothesis> hypotheses = new ArrayList<>();
        hypotheses.add(new Hypothesis(List.of(), weight(none, leak)));
        for (int one = 0; one < odds.length; one++) {
            hypotheses.add(
                    new Hypothesis(List.of(terms.get(one).cause()), weight(none * odds[one], leak, strength[one])));
        }
        for (int one = 0; one < odds.length; one++) {
            for (int other = one + 1; other < odds.length; other++) {
                double weight = weight(none * odds[one] * odds[other], leak, strength[one], strength[other]);
                hypotheses.add(new Hypothesis(
                        List.of(terms.get(one).cause(), terms.get(other).cause()), weight));
            }
        }
        double total = hypotheses.stream().mapToDouble(Hypothesis::probability).sum();
        if (!(total > 0)) {
            return NONE;
        }
        double coverage = inference.evidence() > 0 ? Math.min(1, total / inference.evidence()) : 1;
        return new Belief(normal(hypotheses), coverage);
    }

    /** Every sign that holds is produced by at least one of the causes or for an unlisted reason. */
    private static double weight(double weight, double[] leak, double[]... causes) {
        double result = weight;
        for (int sign = 0; sign < leak.length; sign++) {
            double silent = 1 - leak[sign];
            for (double[] cause : causes) {
                silent *= 1 - cause[sign];
            }
            result *= 1 - silent;
        }
        return result;
    }

    private static List<Hypothesis> normal(List<Hypothesis> hypotheses) {
        double total = hypotheses.stream().mapToDouble(Hypothesis::probability).sum();
        return hypotheses.stream().map(h -> h.times(1 / total)).toList();
    }

    /** The belief after an outcome was found. */
    public Belief after(BoundCheck check, int outcome) {
        return new Belief(
                normal(hypotheses.stream()
                        .map(h -> h.times(h.of(check, outcome)))
                        .toList()),
                coverage);
    }

    /** The belief after a repair of a cause that did not make its signs go away: it was likely something else. */
    public Belief afterVainRepairOf(String cause) {
        return new Belief(
                normal(hypotheses.stream()
                        .map(h -> h.times(h.causes().contains(cause) ? VAIN_REPAIR : 1))
                        .toList()),
                coverage);
    }

    /** How often a repair of the right cause does not help: our own estimate. */
    private static final double VAIN_REPAIR = 0.1;

    /** Probability that a cause is there, alone or with another. */
    public double posterior(String cause) {
        double sum = 0;
        for (Hypothesis each : hypotheses) {
            sum += each.causes().contains(cause) ? each.probability() : 0;
        }
        return sum;
    }

    /** Probability that no listed cause is there. */
    public double unlisted() {
        double sum = 0;
        for (Hypothesis each : hypotheses) {
            sum += each.causes().isEmpty() ? each.probability() : 0;
        }
        return sum;
    }

    /** Every cause with its probability, the likeliest first; equal ones in the order of the network. */
    public List<Ranked> ranked() {
        Map<String, Double> sums = new LinkedHashMap<>();
        for (Hypothesis each : hypotheses) {
            each.causes().forEach(c -> sums.merge(c, each.probability(), Double::sum));
        }
        List<Ranked> ranked = new ArrayList<>();
        sums.forEach((cause, probability) -> ranked.add(new Ranked(cause, Math.min(1, probability))));
        ranked.sort(Comparator.comparingDouble((Ranked r) -> -r.probability()));
        return ranked;
    }

    /** A cause with its probability. */
    public record Ranked(String cause, double probability) {}

    /** Probability of each outcome of a check. */
    public List<Double> outcomes(BoundCheck check) {
        List<Double> probabilities = new ArrayList<>();
        for (int outcome = 0; outcome < check.otherwise().size(); outcome++) {
            double sum = 0;
            for (Hypothesis each : hypotheses) {
                sum += each.probability() * each.of(check, outcome);
            }
            probabilities.add(sum);
        }
        return probabilities;
    }

    /**
     * How much a check is expected to tell: the mutual information, in bits, between what is there and what is found
     * (Shannon, A Mathematical Theory of Communication, 1948, 12: the rate of transmission H(x) - Hy(x)). Never negative.
     */
    public double bits(BoundCheck check) {
        List<Double> outcomes = outcomes(check);
        double nats = 0;
        for (int outcome = 0; outcome < outcomes.size(); outcome++) {
            for (Hypothesis each : hypotheses) {
                double of = each.of(check, outcome);
                if (each.probability() > 0 && of > 0) {
                    nats += each.probability() * of * StrictMath.log(of / outcomes.get(outcome));
                }
            }
        }
        return Math.max(0, nats / StrictMath.log(2));
    }
}
