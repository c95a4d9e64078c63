package oilbird.alarm.diagnosis;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * The sum over all combinations of causes that the posterior is made of, for one set of asserted signs.
 *
 * <p>Signs that are absent never couple two causes, so they are factors of a cause's weight and not part of the sum.
 * Up to {@link NoisyOr#MAX_ASSERTED} asserted signs that hang together are summed exactly. Of more, the causes that
 * tie most of them together are taken as present and as absent in turn; what is left usually falls apart into pieces
 * that are small enough, and the result is exact as well. Where that takes too many steps, all combinations of at most
 * a few causes are added and the weight of all others bounds the error of every posterior. All terms are non-negative.
 */
final class NoisyOrSum {
    private static final long MOST_STEPS = 12_000_000;
    private static final long MOST_TERMS = 3_000_000;
    private static final int MOST_TOGETHER = 4;

    /**
     * @param total weight of the evidence.
     * @param causes posterior of each cause.
     * @param unlisted for each asserted sign the posterior that a reason which is no cause has produced it.
     * @param error greatest error of any posterior.
     */
    record Result(double total, double[] causes, double[] unlisted, Inference.Method method, double error) {}

    private final double[] absent;
    private final double[] present;
    private final double[][] strength;
    private long steps;

    private NoisyOrSum(double[] absent, double[] present, double[][] strength) {
        this.absent = absent;
        this.present = present;
        this.strength = strength;
    }

    /**
     * @param absent weight of each cause not being there.
     * @param present weight of its being there, soft evidence and absent signs included.
     * @param strength {@code strength[i][j]}: how surely cause i produces asserted sign j.
     * @param leak how surely asserted sign j shows without any cause.
     */
    static Result of(double[] absent, double[] present, double[][] strength, double[] leak) {
        NoisyOrSum sum = new NoisyOrSum(absent, present, strength);
        int[] causes = range(present.length);
        int[] signs = range(leak.length);
        if (signs.length <= NoisyOr.MAX_ASSERTED) {
            return sum.result(sum.exact(causes, signs, leak), Inference.Method.EXACT);
        }
        Part part = sum.conditioned(causes, signs, leak);
        return part == null ? sum.bounded(leak) : sum.result(part, Inference.Method.CONDITIONED);
    }

    private static int[] range(int size) {
        int[] range = new int[size];
        for (int i = 0; i < size; i++) {
            range[i] = i;
        }
        return range;
    }

    private Result result(Part part, Inference.Method method) {
        double[] causes = new double[present.length];
        double[] unlisted = new double[part.unlisted.length];
        for (int i = 0; i < causes.length; i++) {
            causes[i] = share(part.joint[i], part.total);
        }
        for (int j = 0; j < unlisted.length; j++) {
            unlisted[j] = share(part.unlisted[j], part.total);
        }
        return new Result(part.total, causes, unlisted, method, 0);
    }

    private static double share(double joint, double total) {
        return total > 0 ? Math.min(1, joint / total) : 0;
    }

    /** Weight of some causes and signs, with the weight of each cause and each unlisted reason being there. */
    private static final class Part {
        double total;
        final double[] joint;
        final double[] unlisted;

        Part(int causes, int signs) {
            this.joint = new double[causes];
            this.unlisted = new double[signs];
        }
    }

    // ---- exact: over the sets of signs that something has produced so far

    private Part exact(int[] causes, int[] signs, double[] leak) {
        int sets = 1 << signs.length;
        int all = causes.length + signs.length;
        double[][] edges = new double[all][];
        double[] without = new double[all];
        double[] with = new double[all];
        for (int c = 0; c < causes.length; c++) {
            double[] row = new double[signs.length];
            for (int k = 0; k < signs.length; k++) {
                row[k] = strength[causes[c]][signs[k]];
            }
            edges[c] = row;
            without[c] = absent[causes[c]];
            with[c] = present[causes[c]];
        }
        for (int k = 0; k < signs.length; k++) {
            double[] row = new double[signs.length];
            row[k] = 1;
            edges[causes.length + k] = row;
            without[causes.length + k] = 1 - leak[signs[k]];
            with[causes.length + k] = leak[signs[k]];
        }
        double[][] before = new double[all][];
        double[] produced = new double[sets];
        produced[0] = 1;
        for (int i = 0; i < all; i++) {
            before[i] = produced;
            double[] next = produced.clone();
            produce(next, edges[i]);
            produced = mixed(produced, next, without[i], with[i]);
        }
        Part part = new Part(present.length, leak.length);
        part.total = produced[sets - 1];
        double[] completes = new double[sets];
        completes[sets - 1] = 1;
        for (int i = all - 1; i >= 0; i--) {
            double[] next = completes.clone();
            complete(next, edges[i]);
            double[] reached = before[i];
            double joint = 0;
            for (int set = 0; set < sets; set++) {
                joint += reached[set] * next[set];
            }
            joint *= with[i];
            if (i < causes.length) {
                part.joint[causes[i]] = joint;
            } else {
                part.unlisted[signs[i - causes.length]] = joint;
            }
            completes = mixed(completes, next, without[i], with[i]);
        }
        return part;
    }

    private static double[] mixed(double[] without, double[] with, double absent, double present) {
        double[] sum = new double[without.length];
        for (int set = 0; set < sum.length; set++) {
            sum[set] = absent * without[set] + present * with[set];
        }
        return sum;
    }

    /** Each sign that is not produced yet becomes so with its strength. */
    private static void produce(double[] weight, double[] strength) {
        for (int k = 0; k < strength.length; k++) {
            double q = strength[k];
            int bit = 1 << k;
            for (int from = 0; q > 0 && from < weight.length; from += 2 * bit) {
                for (int set = from; set < from + bit; set++) {
                    weight[set + bit] += weight[set] * q;
                    weight[set] *= 1 - q;
                }
            }
        }
    }

    /** The transpose of {@link #produce}: the probability to reach a set's completion from before it. */
    private static void complete(double[] weight, double[] strength) {
        for (int k = 0; k < strength.length; k++) {
            double q = strength[k];
            int bit = 1 << k;
            for (int from = 0; q > 0 && from < weight.length; from += 2 * bit) {
                for (int set = from; set < from + bit; set++) {
                    weight[set] = (1 - q) * weight[set] + q * weight[set + bit];
                }
            }
        }
    }

    // ---- exact, conditioned on causes that tie many signs together

    /** Null where it would take too many steps. */
    private @Nullable Part conditioned(int[] causes, int[] signs, double[] leak) {
        List<int[][]> pieces = pieces(causes, signs);
        List<Part> parts = new ArrayList<>();
        for (int[][] piece : pieces) {
            Part part = piece(piece[0], piece[1], leak);
            if (part == null) {
                return null;
            }
            parts.add(part);
        }
        Part whole = new Part(present.length, leak.length);
        whole.total = 1;
        for (Part part : parts) {
            whole.total *= part.total;
        }
        for (int p = 0; p < parts.size(); p++) {
            double others = 1;
            for (int o = 0; o < parts.size(); o++) {
                others *= o == p ? 1 : parts.get(o).total;
            }
            addTo(whole, parts.get(p), others);
        }
        return whole;
    }

    private static void addTo(Part sum, Part part, double factor) {
        for (int i = 0; i < sum.joint.length; i++) {
            sum.joint[i] += part.joint[i] * factor;
        }
        for (int j = 0; j < sum.unlisted.length; j++) {
            sum.unlisted[j] += part.unlisted[j] * factor;
        }
    }

    private @Nullable Part piece(int[] causes, int[] signs, double[] leak) {
        if (signs.length <= NoisyOr.MAX_ASSERTED) {
            steps += (1L << signs.length) * (long) (edges(causes, signs) + 2 * causes.length + 4 * signs.length);
            return steps > MOST_STEPS ? null : exact(causes, signs, leak);
        }
        int tie = tie(causes, signs);
        int[] rest = Arrays.stream(causes).filter(c -> c != tie).toArray();
        double[] produced = leak.clone();
        for (int sign : signs) {
            produced[sign] = 1 - (1 - leak[sign]) * (1 - strength[tie][sign]);
        }
        Part without = conditioned(rest, signs, leak);
        Part with = without == null ? null : conditioned(rest, signs, produced);
        if (without == null || with == null) {
            return null;
        }
        Part both = new Part(present.length, leak.length);
        both.total = absent[tie] * without.total + present[tie] * with.total;
        addTo(both, without, absent[tie]);
        addTo(both, with, present[tie]);
        for (int sign : signs) {
            // With the cause there, its leak stood for two reasons; only one of them is unlisted.
            both.unlisted[sign] = absent[tie] * without.unlisted[sign]
                    + present[tie] * unlistedOf(sign, leak[sign], strength[tie][sign], with);
        }
        both.joint[tie] = present[tie] * with.total;
        return both;
    }

    /**
     * What of a sign's combined reason is the unlisted one. Given that the combined reason has produced the sign, the
     * unlisted one has with probability leak / combined; given that it has not, neither has.
     */
    private static double unlistedOf(int sign, double leak, double strength, Part with) {
        double combined = 1 - (1 - leak) * (1 - strength);
        return combined > 0 ? with.unlisted[sign] * (leak / combined) : 0;
    }

    private int edges(int[] causes, int[] signs) {
        int edges = 0;
        for (int cause : causes) {
            for (int sign : signs) {
                edges += strength[cause][sign] > 0 ? 1 : 0;
            }
        }
        return edges;
    }

    /** The cause with the most signs, which alone may hold the piece together. */
    private int tie(int[] causes, int[] signs) {
        int tie = causes[0];
        int most = -1;
        for (int cause : causes) {
            int count = 0;
            for (int sign : signs) {
                count += strength[cause][sign] > 0 ? 1 : 0;
            }
            if (count > most) {
                most = count;
                tie = cause;
            }
        }
        return tie;
    }

    /** Causes and signs that no others touch, each as causes and signs; a cause that has no sign here stays alone. */
    private List<int[][]> pieces(int[] causes, int[] signs) {
        List<int[][]> pieces = new ArrayList<>();
        boolean[] causeTaken = new boolean[present.length];
        boolean[] signTaken = new boolean[signs.length];
        for (int start = 0; start < signs.length; start++) {
            if (signTaken[start]) {
                continue;
            }
            signTaken[start] = true;
            List<Integer> foundSigns = new ArrayList<>(List.of(start));
            List<Integer> foundCauses = new ArrayList<>();
            for (int next = 0; next < foundSigns.size(); next++) {
                int sign = signs[foundSigns.get(next)];
                for (int cause : causes) {
                    if (!causeTaken[cause] && strength[cause][sign] > 0) {
                        causeTaken[cause] = true;
                        foundCauses.add(cause);
                        for (int k = 0; k < signs.length; k++) {
                            if (!signTaken[k] && strength[cause][signs[k]] > 0) {
                                signTaken[k] = true;
                                foundSigns.add(k);
                            }
                        }
                    }
                }
            }
            pieces.add(new int[][] {
                foundCauses.stream().mapToInt(Integer::intValue).sorted().toArray(),
                foundSigns.stream().mapToInt(k -> signs[k]).sorted().toArray()
            });
        }
        for (int cause : causes) {
            if (!causeTaken[cause]) {
                pieces.add(new int[][] {{cause}, {}});
            }
        }
        return pieces;
    }

    // ---- bounded: combinations of a few causes

    private Result bounded(double[] leak) {
        int together = 1;
        for (double terms = present.length;
                together < MOST_TOGETHER
                        && terms * (present.length - together) / (together + 1) * leak.length < MOST_TERMS; ) {
            terms *= (present.length - together) / (double) (together + 1);
            together++;
        }
        double none = 1;
        for (double weight : absent) {
            none *= weight;
        }
        Part part = new Part(present.length, leak.length);
        double[] silent = new double[leak.length];
        for (int j = 0; j < silent.length; j++) {
            silent[j] = 1 - leak[j];
        }
        add(part, leak, silent, none, 0, new int[together], 0);
        double rest = moreThan(together) * mostLikely(leak);
        Result found = result(part, Inference.Method.BOUNDED);
        double error = part.total + rest > 0 ? rest / (part.total + rest) : 1;
        return new Result(found.total(), found.causes(), found.unlisted(), found.method(), error);
    }

    /** Adds the combination at hand and all larger ones that go on from it. */
    private void add(Part part, double[] leak, double[] silent, double weight, int from, int[] chosen, int count) {
        double evidence = weight;
        for (double each : silent) {
            evidence *= 1 - each;
        }
        part.total += evidence;
        for (int k = 0; k < count; k++) {
            part.joint[chosen[k]] += evidence;
        }
        for (int j = 0; j < leak.length; j++) {
            double produced = 1 - silent[j];
            part.unlisted[j] += produced > 0 ? evidence * leak[j] / produced : 0;
        }
        if (count == chosen.length) {
            return;
        }
        double[] next = new double[silent.length];
        for (int cause = from; cause < present.length; cause++) {
            // A certain cause is in every combination of weight; without it there is none to divide by.
            double ratio = absent[cause] > 0 ? present[cause] / absent[cause] : 0;
            for (int j = 0; j < next.length; j++) {
                next[j] = silent[j] * (1 - strength[cause][j]);
            }
            chosen[count] = cause;
            add(part, leak, next, weight * ratio, cause + 1, chosen, count + 1);
        }
    }

    /** Weight of all combinations of more than so many causes. */
    private double moreThan(int together) {
        double[] weight = new double[together + 2];
        weight[0] = 1;
        for (int i = 0; i < present.length; i++) {
            for (int count = together + 1; count >= 0; count--) {
                double stays = count == together + 1 ? absent[i] + present[i] : absent[i];
                weight[count] = weight[count] * stays + (count > 0 ? weight[count - 1] * present[i] : 0);
            }
        }
        return weight[together + 1];
    }

    /** No combination produces the asserted signs more surely than all causes together. */
    private double mostLikely(double[] leak) {
        double most = 1;
        for (int j = 0; j < leak.length; j++) {
            double silent = 1 - leak[j];
            for (int i = 0; i < present.length; i++) {
                silent *= 1 - strength[i][j];
            }
            most *= 1 - silent;
        }
        return most;
    }
}
