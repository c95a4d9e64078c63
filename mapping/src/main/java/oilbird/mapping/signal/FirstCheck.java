package oilbird.mapping.signal;

import java.util.List;

/**
 * One safe step that a person can take to find a fault, with everything needed to take it.
 *
 * <p>A check informs. The owner's rules, permits and the law prevail, and no text of a check says that
 * anything is dead or safe.
 *
 * @param id unique within the device map or the rule file that gives it.
 * @param action what to do, in the imperative: {@code Listen at the cabinet for the fan}.
 * @param exposure 0 screen only, 1 look from outside, 2 open a cabinet, 3 touch or measure, 4 outage.
 * @param cautions ids of the cautions that go with it, such as {@code S07}.
 * @param look what to look at or measure; empty when the action says it all.
 * @param accept the accepted range with its unit, or the accepted finding; empty when there is none.
 * @param outcomes what each finding means, in the order to consider them.
 * @param minutes how long it takes, at least 1.
 * @param tools what to bring.
 */
public record FirstCheck(
        String id,
        String action,
        int exposure,
        List<String> cautions,
        String look,
        String accept,
        List<Outcome> outcomes,
        int minutes,
        List<String> tools) {
    /**
     * @param found what was found: {@code fan stands, supply present}.
     * @param means what follows from it: {@code fan failed; replace it}.
     */
    public record Outcome(String found, String means) {}

    public FirstCheck {
        if (exposure < 0 || exposure > 4) {
            throw new IllegalArgumentException("exposure is 0 to 4, not " + exposure + ": " + id);
        }
        if (minutes < 1) {
            throw new IllegalArgumentException("a check takes at least a minute: " + id);
        }
        cautions = List.copyOf(cautions);
        outcomes = List.copyOf(outcomes);
        tools = List.copyOf(tools);
    }
}
