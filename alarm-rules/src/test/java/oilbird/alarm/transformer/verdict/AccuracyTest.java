package oilbird.alarm.transformer.verdict;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import oilbird.alarm.transformer.Samples;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.Fault;
import oilbird.alarm.transformer.gas.GasMethods;
import oilbird.alarm.transformer.gas.Method;
import oilbird.alarm.transformer.gas.MethodAnswer;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;

/**
 * How often each method and the combined verdict are right on the 117 inspected cases of the IEC TC 10
 * collection (tc10.csv). The combined verdict is judged on held-out folds only, and compared at equal coverage:
 * of as many cases as the method answers, those of which the verdict is surest.
 *
 * <p>T1 and T2 are parted in the collection by C2H4/C2H6, not by inspection, so six-class figures favour methods
 * that use that ratio; five classes, T1 and T2 as one, are printed beside them.
 */
class AccuracyTest {
    private static final int FOLDS = 10;
    private static final int REPEATS = 5;
    private static final long SEED = 20_260_101;

    private static List<Samples.Case> cases = List.of();
    private static List<double[]> evidence = List.of();

    @BeforeAll
    static void read() {
        cases = Samples.tc10();
        evidence = cases.stream().map(VerdictFit::evidence).toList();
    }

    /** A case answered with one fault, and how surely. */
    private record Guess(int index, Fault fault, double probability, double[] all) {}

    private record Score(int correct, int unresolved, int wrong) {
        int answered() {
            return correct + wrong;
        }
    }

    @Test
    void theTableOfEveryMethodAndOfTheCombinedVerdictOnHeldOutFolds() {
        List<List<Guess>> repeats = new ArrayList<>();
        for (int repeat = 0; repeat < REPEATS; repeat++) {
            repeats.add(heldOut(repeat));
        }
        System.out.printf("117 inspected cases (IEC TC 10); combined: %d x %d folds, seed %d%n", REPEATS, FOLDS, SEED);
        System.out.println("method          six classes         five classes        families            "
                + "combined at equal coverage (six classes)");
        System.out.println("                right unres. wrong  right unres. wrong  right unres. wrong");
        Map<Method, Score> sixClass = new EnumMap<>(Method.class);
        Map<Method, Double> combinedThere = new EnumMap<>(Method.class);
        for (Method method : Method.values()) {
            Score six = score(method, Grain.SIX);
            Score five = score(method, Grain.FIVE);
            Score family = score(method, Grain.FAMILY);
            double there = 0;
            for (List<Guess> guesses : repeats) {
                there += correctAmongSurest(guesses, six.answered()) / (double) REPEATS;
            }
            sixClass.put(method, six);
            combinedThere.put(method, there);
            System.out.printf(
                    "%-14s  %5d %6d %5d  %5d %6d %5d  %5d %6d %5d  %s%n",
                    method,
                    six.correct(),
                    six.unresolved(),
                    six.wrong(),
                    five.correct(),
                    five.unresolved(),
                    five.wrong(),
                    family.correct(),
                    family.unresolved(),
                    family.wrong(),
                    six.answered() == 0
                            ? "answers none in six classes"
                            : "%.1f of %d".formatted(there, six.answered()));
        }
        double full = 0;
        double five = 0;
        double family = 0;
        double logLoss = 0;
        double confidence = 0;
        double sure = 0;
        double sureRight = 0;
        List<String> perRepeat = new ArrayList<>();
        for (List<Guess> guesses : repeats) {
            perRepeat.add(Integer.toString(correctAmongSurest(guesses, cases.size())));
            for (Guess guess : guesses) {
                Fault truth = cases.get(guess.index()).fault();
                boolean right = guess.fault() == truth;
                full += right ? 1.0 / REPEATS : 0;
                five += Grain.FIVE.same(guess.fault(), truth) ? 1.0 / REPEATS : 0;
                family += Grain.FAMILY.same(guess.fault(), truth) ? 1.0 / REPEATS : 0;
                logLoss -= StrictMath.log(guess.all()[truth.ordinal()]) / (REPEATS * (double) cases.size());
                confidence += guess.probability() / (REPEATS * (double) cases.size());
                if (guess.probability() >= 0.5) {
                    sure += 1.0 / REPEATS;
                    sureRight += right ? 1.0 / REPEATS : 0;
                }
            }
        }
        System.out.printf(
                "COMBINED        six classes %.1f of 117 (%s), five %.1f, families %.1f; mean log loss %.3f%n",
                full, String.join(" ", perRepeat), five, family, logLoss);
        System.out.printf(
                "calibration: mean probability of the leading fault %.3f, share right %.3f%n",
                confidence, full / cases.size());
        System.out.printf(
                "at the usual threshold of one half: told %.1f, right %.1f, not told %.1f%n",
                sure, sureRight, cases.size() - sure);
        Method best = Collections.max(
                sixClass.keySet(),
                Comparator.comparingInt(m -> sixClass.getOrDefault(m, NOTHING).correct()));
        int bestCorrect = sixClass.getOrDefault(best, NOTHING).correct();
        printPaired(best, repeats.get(0));
        System.out.printf(
                "gain over the best single method, %s with %d: %.1f cases of 117%n",
                best, bestCorrect, full - bestCorrect);

        List<Method> missed = new ArrayList<>();
        for (Method method : Method.values()) {
            Score score = sixClass.getOrDefault(method, NOTHING);
            if (combinedThere.getOrDefault(method, 0.0) < score.correct()) {
                missed.add(method);
            }
        }
        System.out.println("aim missed at the coverage of: " + missed);
        assertThat(best).isEqualTo(Method.TRIANGLE_1);
        assertThat(full).isGreaterThan(bestCorrect);
        // The known miss: triangle 4 names a six-class fault in 6 cases only, all of them its PD zone. Among the
        // verdict's surest 6 are cases in which all four methods agree and the inspection found otherwise.
        assertThat(missed).isSubsetOf(List.of(Method.TRIANGLE_4));
    }

    private static final Score NOTHING = new Score(0, 0, 0);

    private static void printPaired(Method best, List<Guess> guesses) {
        int gained = 0;
        int lost = 0;
        for (Guess guess : guesses) {
            Samples.Case one = cases.get(guess.index());
            boolean combined = guess.fault() == one.fault();
            boolean single = answer(best, one).possibleFaults().equals(List.of(one.fault()));
            gained += combined && !single ? 1 : 0;
            lost += single && !combined ? 1 : 0;
        }
        // Exact sign test on the cases where the two differ.
        double tail = 0;
        int n = gained + lost;
        double term = StrictMath.pow(0.5, n);
        for (int k = 0; k <= Math.min(gained, lost); k++) {
            tail += term;
            term = term * (n - k) / (k + 1);
        }
        System.out.printf(
                "first repeat against %s: %d cases won, %d lost, two-sided sign test p %.2f%n",
                best, gained, lost, Math.min(1, 2 * tail));
    }

    @Test
    void theWeightsThatShipAreThoseFittedOnTheStatedSplitAndNoOthers() {
        List<double[]> trained = new ArrayList<>();
        List<Fault> faults = new ArrayList<>();
        List<Integer> heldOut = new ArrayList<>();
        split(trained, faults, heldOut);
        assertThat(trained).hasSize(79);
        assertThat(heldOut).hasSize(38);
        VerdictModel fitted = VerdictFit.fit(trained, faults);
        if (Boolean.getBoolean("oilbird.printWeights")) {
            print(fitted);
        }
        for (Fault fault : Fault.values()) {
            assertThat(VerdictModel.fitted().offset(fault)).isCloseTo(fitted.offset(fault), within(6e-4));
            for (int i = 0; i < VerdictModel.EVIDENCE; i++) {
                assertThat(VerdictModel.fitted().weight(fault, i)).isCloseTo(fitted.weight(fault, i), within(6e-4));
            }
        }
        int right = 0;
        int triangle = 0;
        for (int index : heldOut) {
            Samples.Case one = cases.get(index);
            right += guess(VerdictModel.fitted(), index).fault() == one.fault() ? 1 : 0;
            triangle += answer(Method.TRIANGLE_1, one).possibleFaults().equals(List.of(one.fault())) ? 1 : 0;
        }
        System.out.printf(
                "weights that ship, on the 38 cases held out of their fit: %d right, triangle 1 %d right%n",
                right, triangle);
        assertThat(right).isGreaterThanOrEqualTo(triangle - 2);
    }

    private static void split(List<double[]> trained, List<Fault> faults, List<Integer> heldOut) {
        int[] seen = new int[Fault.values().length];
        for (int i = 0; i < cases.size(); i++) {
            Fault fault = cases.get(i).fault();
            if (seen[fault.ordinal()]++ % 3 == 2) {
                heldOut.add(i);
            } else {
                trained.add(evidence.get(i));
                faults.add(fault);
            }
        }
    }

    private static void print(VerdictModel model) {
        for (Fault fault : Fault.values()) {
            StringBuilder line = new StringBuilder("        {");
            for (int i = 0; i < VerdictModel.EVIDENCE; i++) {
                line.append(i == 0 ? "" : ", ").append("%.3f".formatted(model.weight(fault, i)));
            }
            System.out.println(line.append("},"));
        }
        for (Fault fault : Fault.values()) {
            System.out.printf("%.3f, ", model.offset(fault));
        }
        System.out.println();
    }

    private static Guess guess(VerdictModel model, int index) {
        double[] p = model.probabilities(evidence.get(index));
        int best = 0;
        for (int k = 1; k < p.length; k++) {
            best = p[k] > p[best] ? k : best;
        }
        return new Guess(index, Fault.values()[best], p[best], p);
    }

    /** One guess for each case by a model that was not fitted on it; folds are stratified by fault. */
    private static List<Guess> heldOut(int repeat) {
        int[] fold = new int[cases.size()];
        Random random = new Random(SEED + repeat);
        for (Fault fault : Fault.values()) {
            List<Integer> members = new ArrayList<>();
            for (int i = 0; i < cases.size(); i++) {
                if (cases.get(i).fault() == fault) {
                    members.add(i);
                }
            }
            Collections.shuffle(members, random);
            int offset = random.nextInt(FOLDS);
            for (int i = 0; i < members.size(); i++) {
                fold[members.get(i)] = (i + offset) % FOLDS;
            }
        }
        List<Guess> guesses = new ArrayList<>();
        for (int f = 0; f < FOLDS; f++) {
            List<double[]> trained = new ArrayList<>();
            List<Fault> faults = new ArrayList<>();
            for (int i = 0; i < fold.length; i++) {
                if (fold[i] != f) {
                    trained.add(evidence.get(i));
                    faults.add(cases.get(i).fault());
                }
            }
            VerdictModel model = VerdictFit.fit(trained, faults);
            for (int i = 0; i < fold.length; i++) {
                if (fold[i] == f) {
                    guesses.add(guess(model, i));
                }
            }
        }
        return guesses;
    }

    private static int correctAmongSurest(List<Guess> guesses, int count) {
        return (int) guesses.stream()
                .sorted(Comparator.comparingDouble(Guess::probability)
                        .reversed()
                        .thenComparing(Guess::index))
                .limit(count)
                .filter(guess -> guess.fault() == cases.get(guess.index()).fault())
                .count();
    }

    private enum Grain {
        SIX,
        FIVE,
        FAMILY;

        boolean same(Fault a, Fault b) {
            return switch (this) {
                case SIX -> a == b;
                case FIVE -> a == b || low(a) && low(b);
                case FAMILY -> a.family() == b.family();
            };
        }

        private static boolean low(Fault fault) {
            return fault == Fault.T1 || fault == Fault.T2;
        }
    }

    private static MethodAnswer answer(Method method, Samples.Case one) {
        return GasMethods.answer(method, TransformerFacts.mineralOilTransformer(), one.sample(), Choices.STANDING);
    }

    /** An answer is resolved when all faults that it leaves are the same at the grain. */
    private static Score score(Method method, Grain grain) {
        int correct = 0;
        int unresolved = 0;
        int wrong = 0;
        for (Samples.Case one : cases) {
            List<Fault> faults = answer(method, one).possibleFaults();
            boolean resolved = !faults.isEmpty() && faults.stream().allMatch(fault -> grain.same(fault, faults.get(0)));
            if (!resolved) {
                unresolved++;
            } else if (grain.same(faults.get(0), one.fault())) {
                correct++;
            } else {
                wrong++;
            }
        }
        return new Score(correct, unresolved, wrong);
    }
}
