package oilbird.alarm.station;

import oilbird.alarm.rule.AlarmRule;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;

/** The last samples of one alarm, of which so many must agree. What cannot be told is no sample. */
final class Votes {
    private final int agreeing;
    private final boolean[] held;
    private final Quality[] qualities;
    private int taken;
    private IndicationState answer = IndicationState.CANNOT_BE_TOLD;
    private Quality quality = Quality.BAD;

    Votes(AlarmRule.Agreement agreement) {
        this.agreeing = agreement.agreeing();
        this.held = new boolean[agreement.of()];
        this.qualities = new Quality[agreement.of()];
    }

    void take(boolean holds, Quality of) {
        held[taken % held.length] = holds;
        qualities[taken % held.length] = of;
        taken++;
        if (taken == 2 * held.length) {
            taken = held.length; // only its remainder and whether the ring is full count
        }
        decide(true);
        decide(false);
    }

    /** Takes over the samples of the same alarm before other rules were loaded. */
    void goOnFrom(Votes before) {
        System.arraycopy(before.held, 0, held, 0, held.length);
        System.arraycopy(before.qualities, 0, qualities, 0, qualities.length);
        taken = before.taken;
        answer = before.answer;
        quality = before.quality;
    }

    /** Begins anew. */
    void forget() {
        taken = 0;
        answer = IndicationState.CANNOT_BE_TOLD;
        quality = Quality.BAD;
    }

    private void decide(boolean holds) {
        int same = 0;
        int good = 0;
        for (int i = 0; i < Math.min(taken, held.length); i++) {
            if (held[i] == holds) {
                same++;
                good += qualities[i] == Quality.GOOD ? 1 : 0;
            }
        }
        if (same >= agreeing) {
            answer = holds ? IndicationState.HOLDS : IndicationState.DOES_NOT_HOLD;
            quality = good >= agreeing ? Quality.GOOD : Quality.UNCERTAIN;
        }
    }

    /** What was last agreed on; cannot be told before the first time. */
    IndicationState answer() {
        return answer;
    }

    /** Good where enough good samples agree. */
    Quality quality() {
        return quality;
    }
}
