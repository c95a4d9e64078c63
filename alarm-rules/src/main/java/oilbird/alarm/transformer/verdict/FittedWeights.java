package oilbird.alarm.transformer.verdict;

/** The weights of the fitted {@link VerdictModel}: rows PD, D1, D2, T1, T2, T3. A test fits them again and compares. */
final class FittedWeights {
    private FittedWeights() {}

    static final double[][] WEIGHTS = new double[6][Evidence.SIZE];
    static final double[] OFFSETS = new double[6];
}
