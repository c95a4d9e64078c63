package oilbird.alarm.diagnosis;

import java.util.List;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.station.StationModel;

/** The invented station Windlow with fault models, rules and an auxiliary supply that two devices share. */
public final class WindlowCauses {
    public static final String GAS_MONITOR = Windlow.text("/oilbird/alarm/diagnosis/windlow-gas-monitor.yaml");

    private static final String[] RULES = {
        "fan:\n  for: {map: hbg-8}\n  when: {indication: cabinet-fan-stopped}\n  says: the fan has stopped\n"
                + "  class: instrument-diagnostic\n  priority: minor",
        "heat-sink-warm:\n  for: {map: hbg-8}\n  when: {level: heat-sink-temperature, over: cabinet-air-temperature,"
                + " unit: K, high: 25, deadband: 3}\n  says: \"the heat sink is {value} too warm\"\n"
                + "  class: instrument-diagnostic\n  priority: minor\n  on_delay: 2 s\n  off_delay: 2 s",
        "flow:\n  for: {map: hbg-8}\n  when: {indication: oil-flow-low}\n  says: oil no longer flows\n"
                + "  class: instrument-diagnostic\n  priority: major\n  first_checks: [look-at-cabinet-air-path]",
        "detector:\n  for: {map: hbg-8}\n  when: {indication: detector-fault}\n  says: the detector has failed\n"
                + "  class: instrument-diagnostic\n  priority: major",
        "cold:\n  for: {map: hbg-8}\n  when: {indication: cell-cold}\n  says: the cell is cold\n"
                + "  class: equipment-protection\n  priority: critical",
        "hydrogen-high:\n  for: {map: hbg-8}\n  when: {level: hydrogen, unit: ppm, high: 100, deadband: 10}\n"
                + "  says: \"hydrogen is {value}\"\n  class: equipment-health\n  priority: major\n  on_samples: 1",
        "silent:\n  for: {map: hbg-8}\n  when: {communication: lost}\n  says: the monitor does not answer\n"
                + "  class: communications\n  priority: minor\n  on_delay: 1 s\n  off_delay: 1 s",
        "cooling-silent:\n  for: {map: tcc-4}\n  when: {communication: lost}\n  says: the cooling control does not"
                + " answer\n  class: communications\n  priority: minor\n  on_delay: 1 s\n  off_delay: 1 s",
        "vibration:\n  for: {map: tcc-4}\n  when: {indication: fan-vibration}\n  says: a fan vibrates\n"
                + "  class: auxiliary\n  priority: minor\n  keep_away: true",
    };

    private WindlowCauses() {}

    public static StationFacts facts() {
        return facts(List.of());
    }

    public static StationFacts facts(List<String> unverified) {
        StationFacts plain = Windlow.facts(unverified);
        return new StationFacts(
                plain.id(),
                plain.name(),
                plain.gateway(),
                plain.assets(),
                plain.devices(),
                List.of(new Shared(
                        "aux-t1",
                        "auxiliary supply of bay T1",
                        Shared.Kind.AUXILIARY_SUPPLY,
                        "t1",
                        List.of("gas-t1", "cooling-t1"),
                        List.of())));
    }

    public static StationModel model() {
        return model(facts());
    }

    public static StationModel model(StationFacts facts) {
        return model(facts, GAS_MONITOR);
    }

    public static StationModel model(StationFacts facts, String faultModel) {
        List<RuleInstance> rules = Windlow.rulesOf(facts, RULES);
        FaultModel read = Windlow.valid(FaultModelReader.read("causes/hbg-8.yaml", faultModel));
        StationCauses causes = Windlow.valid(CauseBinder.bind(List.of(read), facts, rules, List.of("hbg-8", "tcc-4")));
        return new StationModel(facts, rules, causes, StationModel.Settings.DEFAULT, "test", List.of());
    }
}
