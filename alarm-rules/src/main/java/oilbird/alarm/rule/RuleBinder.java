package oilbird.alarm.rule;

import java.util.List;
import oilbird.mapping.text.Loaded;

/** Binds rules to the devices and assets of a station, and checks them against what those have. */
public final class RuleBinder {
    private RuleBinder() {}

    /**
     * @param rules of all rule files together.
     * @return one instance for each alarm of the station, in order of rules, then of devices or assets.
     */
    public static Loaded<List<RuleInstance>> bind(List<AlarmRule> rules, StationFacts station) {
        throw new UnsupportedOperationException("in work: " + rules.size() + station.id());
    }
}
