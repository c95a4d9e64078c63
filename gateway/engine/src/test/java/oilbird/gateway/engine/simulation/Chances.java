package oilbird.gateway.engine.simulation;

import java.util.SplittableRandom;

/**
 * How badly the surroundings treat the chain. All but the last four are probabilities, 0 to 1.
 *
 * @param lost a request brings no answer.
 * @param late an answer comes after its deadline, and counts as none.
 * @param refused the device answers with an exception.
 * @param garbled the answer breaks the protocol.
 * @param twice an input is delivered twice.
 * @param reordered an input is delivered after later ones.
 * @param future an input is dated up to an hour ahead of the clock.
 * @param commitFails a commit fails once.
 * @param slowCommit a commit takes up to three seconds.
 * @param slowWriter the writer gets no processor for up to half a second.
 * @param line a message to a control room breaks the connection, is delivered twice, or its confirmation is lost.
 * @param power how often the power goes, in all.
 * @param acts how many human acts there are, in all.
 * @param maintenances how often a device or asset is put in maintenance, in all.
 * @param tests how many point tests there are, in all.
 */
record Chances(
        double lost,
        double late,
        double refused,
        double garbled,
        double twice,
        double reordered,
        double future,
        double commitFails,
        double slowCommit,
        double slowWriter,
        double line,
        int power,
        int acts,
        int maintenances,
        int tests) {
    static final Chances NONE = new Chances(0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0);

    /** Some seeds spare the chain something altogether, so that the rest is seen undisturbed. */
    static Chances of(SplittableRandom random) {
        return new Chances(
                some(random, 0.2),
                some(random, 0.1),
                some(random, 0.1),
                some(random, 0.1),
                some(random, 0.2),
                some(random, 0.2),
                some(random, 0.02),
                some(random, 0.2),
                some(random, 0.05),
                some(random, 0.1),
                some(random, 0.1),
                random.nextInt(7),
                random.nextInt(60),
                random.nextInt(4),
                random.nextInt(10));
    }

    private static double some(SplittableRandom random, double most) {
        return switch (random.nextInt(3)) {
            case 0 -> 0;
            case 1 -> most / 10;
            default -> most * random.nextDouble();
        };
    }
}
