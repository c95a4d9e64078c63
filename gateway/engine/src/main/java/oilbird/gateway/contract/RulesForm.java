package oilbird.gateway.contract;

import java.util.List;

/**
 * The alarm rules in force: form {@code oilbird.rules/1}.
 *
 * @param version digest of station file, maps and rules as they were read.
 * @param alarms how many alarms they make.
 * @param history digests of the versions that a roll-back can reach, oldest first, the one in force last.
 * @param told what was done, and what a person should know about it; empty for a mere look.
 */
public record RulesForm(
        String form, StationForm station, String version, int alarms, List<String> history, List<String> told) {
    public static final String FORM = "oilbird.rules/1";

    public RulesForm {
        history = List.copyOf(history);
        told = List.copyOf(told);
    }
}
