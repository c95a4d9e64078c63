package oilbird.alarm.evidence;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;
import org.jspecify.annotations.Nullable;

/**
 * Compares each look at all neighbours with how they usually were, as raw words: unshifted, shifted up by one
 * register, shifted down by one. What mostly fits unshifted is the new usual look; so slow changes are followed, and
 * a shift, once seen, is not. A shift does not end because values have moved further than expected: it ends when they
 * fit their own registers better again.
 */
final class ShiftWatch extends ShapeWatch {
    private static final double FEW_COUNTS = 3;
    private static final int LEAST_APART = 3;
    /** A restart must find the levels roughly as they were, so they are stored when they have moved this far. */
    private static final double WORTH_STORING = 2;

    private final Feature.Shift shift;
    private final double[] look;
    private final double[] usual;
    private final double[] stored;
    /** For each word the one whose address is one less; -1 for none. */
    private final int[] before;

    /** Seen since the last comparison: values of several requests are compared only when all are of one round. */
    private final boolean[] seen;

    private boolean known;
    private IndicationState told = IndicationState.CANNOT_BE_TOLD;

    ShiftWatch(Feature.Shift shift) {
        this.shift = shift;
        this.look = new double[shift.of().size()];
        this.usual = new double[look.length];
        this.stored = new double[look.length];
        this.seen = new boolean[look.length];
        Arrays.fill(look, Double.NaN);
        Arrays.fill(stored, Double.NaN);
        this.before = new int[look.length];
        for (int i = 0; i < before.length; i++) {
            boolean follows = i > 0
                    && shift.of().get(i).address() == shift.of().get(i - 1).address() + 1;
            before[i] = follows ? i - 1 : -1;
        }
    }

    @Override
    void sample(int input, long now, double value) {
        Feature.Neighbour neighbour = shift.of().get(input);
        long raw = Math.round((value - neighbour.offset()) / neighbour.scale());
        // Signed or not, the same sixteen bits are the same number.
        look[input] = Math.floorMod(raw + 0x8000, 0x10000) - 0x8000;
        seen[input] = true;
    }

    @Override
    void blind(int input) {
        look[input] = Double.NaN;
        seen[input] = true;
    }

    @Override
    void restart() {
        Arrays.fill(look, Double.NaN);
    }

    @Override
    IndicationState tell(long now) {
        for (boolean each : seen) {
            if (!each) {
                return told;
            }
        }
        Arrays.fill(seen, false);
        int numbers = 0;
        for (double value : look) {
            numbers += Double.isNaN(value) ? 0 : 1;
        }
        int size = look.length;
        if (numbers < size - 2) {
            told = IndicationState.CANNOT_BE_TOLD;
        } else if (!known) {
            System.arraycopy(look, 0, usual, 0, size);
            known = numbers == size;
            told = IndicationState.CANNOT_BE_TOLD;
        } else {
            int inPlace = inPlace();
            int apart = numbers - inPlace;
            int pairs = (int) Arrays.stream(before).filter(b -> b >= 0).count();
            int shifted = Math.max(shiftedUp(), shiftedDown());
            if (apart >= LEAST_APART && shifted >= pairs - 1) {
                followShifted(shiftedUp() == shifted);
                told = IndicationState.HOLDS;
            } else if (told != IndicationState.HOLDS || (inPlace > shifted && 2 * inPlace >= numbers)) {
                told = IndicationState.DOES_NOT_HOLD;
                if (inPlace >= shifted) {
                    follow();
                }
            }
        }
        return told;
    }

    /** Values go on moving while they stand one register off; what nobody shows now stays as it was. */
    private void followShifted(boolean up) {
        for (int i = 0; i < look.length; i++) {
            double shown = up || before[i] < 0 ? look[i] : look[before[i]];
            if (before[i] >= 0 && !Double.isNaN(shown)) {
                usual[up ? before[i] : i] = shown;
            }
        }
    }

    private void follow() {
        for (int i = 0; i < look.length; i++) {
            if (!Double.isNaN(look[i])) {
                usual[i] = look[i];
            }
        }
    }

    private int inPlace() {
        int count = 0;
        for (int i = 0; i < look.length; i++) {
            count += near(look[i], usual[i], 1) ? 1 : 0;
        }
        return count;
    }

    /** How many words show what the word before them usually shows. */
    private int shiftedUp() {
        int count = 0;
        for (int i = 0; i < look.length; i++) {
            count += before[i] >= 0 && near(look[i], usual[before[i]], 1) ? 1 : 0;
        }
        return count;
    }

    /** How many words show what the word after them usually shows. */
    private int shiftedDown() {
        int count = 0;
        for (int i = 0; i < look.length; i++) {
            count += before[i] >= 0 && near(look[before[i]], usual[i], 1) ? 1 : 0;
        }
        return count;
    }

    private boolean near(double a, double b, double times) {
        double allowed = Math.max(FEW_COUNTS, shift.tolerance() * Math.max(Math.abs(a), Math.abs(b)));
        return Math.abs(a - b) <= times * allowed;
    }

    @Override
    @Nullable
    Learnt learnt() {
        if (!known || told == IndicationState.HOLDS) {
            return null;
        }
        boolean moved = false;
        for (int i = 0; i < usual.length; i++) {
            moved |= !near(usual[i], stored[i], WORTH_STORING);
        }
        if (!moved) {
            return null;
        }
        System.arraycopy(usual, 0, stored, 0, usual.length);
        List<Double> levels = new ArrayList<>();
        for (double level : usual) {
            levels.add(level);
        }
        return new Learnt(declaration(), levels);
    }

    private String declaration() {
        return shift.of().toString();
    }

    @Override
    void goOnFrom(Learnt learnt) {
        if (learnt.of().equals(declaration()) && learnt.levels().size() == usual.length) {
            for (int i = 0; i < usual.length; i++) {
                usual[i] = learnt.levels().get(i);
                stored[i] = usual[i];
            }
            known = true;
        }
    }
}
