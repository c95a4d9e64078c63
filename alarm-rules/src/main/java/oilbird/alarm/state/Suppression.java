package oilbird.alarm.state;

import org.jspecify.annotations.Nullable;

/**
 * What keeps an alarm suppressed by design: its rule's own logic, and somebody outside (OPC 10000-9, 5.8.8 to 5.8.11).
 * The two are independent; the alarm is suppressed while either holds.
 *
 * @param logic the last answer of the rule's own logic.
 * @param overruled somebody has lifted what the logic asks for; lasts until the logic next changes its answer.
 * @param by who suppressed it from outside; null for nobody.
 * @param reason why, empty where nobody did.
 */
public record Suppression(
        boolean logic, boolean overruled, @Nullable Actor by, String reason) {
    public static final Suppression NONE = new Suppression(false, false, null, "");

    /** True while the alarm is suppressed by either. */
    public boolean holds() {
        return fromOutside() || (logic && !overruled);
    }

    public boolean fromOutside() {
        return by != null;
    }

    Suppression answered(boolean suppress) {
        return suppress == logic ? this : new Suppression(suppress, false, by, reason);
    }

    Suppression from(Actor actor, String why) {
        return new Suppression(logic, overruled, actor, why);
    }

    /** Suppressed by nothing, whatever the logic says at present. */
    Suppression lifted() {
        return new Suppression(logic, logic, null, "");
    }
}
