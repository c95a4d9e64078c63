package oilbird.alarm.rule;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.Windlow;
import oilbird.alarm.state.Acknowledgement;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.AlarmPolicy;
import oilbird.alarm.state.Priority;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

class RuleBinderTest {
    private static final StationFacts FACTS = Windlow.facts();

    private static String rule(String key, String scope, String when, String more) {
        return key + ":\n  for: " + scope + "\n  when: " + when + "\n  says: x\n  class: auxiliary\n  priority: minor\n"
                + more;
    }

    private static RuleInstance only(String when, String more) {
        List<RuleInstance> bound = Windlow.rulesOf(FACTS, rule("only", "{devices: [gas-t1]}", when, more));
        assertThat(bound).hasSize(1);
        return bound.get(0);
    }

    private static Loaded<List<RuleInstance>> bind(String... rules) {
        return RuleBinder.bind(Windlow.valid(RuleReader.read("rules.yaml", Windlow.file(rules))), FACTS);
    }

    @Test
    void theExampleFileLoadsWithoutAWarning() {
        String text = Windlow.text("/oilbird/alarm/rule/windlow-gas-monitor.yaml");
        Loaded<List<AlarmRule>> read = RuleReader.read("windlow-gas-monitor.yaml", text);
        assertThat(read.problems()).isEmpty();
        Loaded<List<RuleInstance>> bound = RuleBinder.bind(Windlow.valid(read), FACTS);
        assertThat(bound.problems()).isEmpty();
        assertThat(Windlow.valid(bound))
                .extracting(r -> r.id().toString())
                .containsExactly(
                        "t1/gas-t1.cabinet-fan-stopped",
                        "t2/gas-t2.cabinet-fan-stopped",
                        "t1/gas-t1.heat-sink-hot",
                        "t2/gas-t2.heat-sink-hot",
                        "t1/gas-t1.hydrogen-high",
                        "t2/gas-t2.hydrogen-high",
                        "t1/gas-t1.analysis-overdue",
                        "t2/gas-t2.analysis-overdue",
                        "t1/gas-t1.no-answer",
                        "t2/gas-t2.no-answer");
    }

    @Test
    void theRecordOfARuleIsWhatItsFileSays() {
        RuleInstance fan = Windlow.rules(FACTS, "windlow-gas-monitor.yaml").get(0);
        Rationalization record = fan.rule().record();
        assertThat(record.causes()).containsExactly("worn fan bearing", "blocked inlet filter", "failed fan supply");
        assertThat(record.timeToRespond()).isEqualTo(Duration.ofDays(3));
        assertThat(record.call()).isEqualTo("monitor technician");
        assertThat(record.owner()).isEqualTo("Substation asset engineer (invented)");
        assertThat(record.rationalizedOn()).isEqualTo("2026-09-14");
        assertThat(record.alsoHardwired()).isFalse();
        assertThat(fan.inputs()).containsExactly(new SignalId("gas-t1", "cabinet-fan-stopped"));
    }

    // The attributes of classes are advice, not from a standard; the file is ours.
    @ParameterizedTest
    @CsvFileSource(resources = "/oilbird/alarm/rule/alarm_classes.csv", numLinesToSkip = 2)
    void classesGiveTheirDefaults(
            String alarmClass,
            String example,
            String shelving,
            int longest,
            String latching,
            String notes,
            String conf) {
        String written = alarmClass.toLowerCase(java.util.Locale.ROOT).replace(' ', '-');
        RuleInstance bound = Windlow.rulesOf(
                        FACTS,
                        "r:\n  for: {devices: [gas-t1]}\n  when: {communication: lost}\n  says: x\n  class: " + written
                                + "\n  priority: minor\n")
                .get(0);
        AlarmPolicy policy = bound.policy();
        assertThat(policy.alarmClass().name())
                .isEqualTo(written.toUpperCase(java.util.Locale.ROOT).replace('-', '_'));
        assertThat(policy.shelvingAllowed()).isEqualTo(!shelving.equals("no"));
        assertThat(policy.maxShelveTime()).isEqualTo(Duration.ofHours(longest));
        assertThat(policy.latching()).isEqualTo(latching.equals("yes"));
        assertThat(policy.acknowledgement()).isEqualTo(Acknowledgement.BY_PERSON);
    }

    @Test
    void safetyAndProtectionAlarmsAreNeverSuppressedByDesignWhateverTheRuleSays() {
        for (String alarmClass : List.of("safety", "equipment-protection")) {
            String text = "r:\n  for: {devices: [gas-t1]}\n  when: {communication: lost}\n  says: x\n  class: "
                    + alarmClass + "\n  priority: critical\n";
            for (String more : List.of("", "  names_cause: false\n")) {
                assertThat(Windlow.rulesOf(FACTS, text + more).get(0).policy().suppressionAllowed())
                        .isFalse();
            }
        }
    }

    @Test
    void aStatusBitMustBeSeenTwiceAndAGasOnceUnlessTheRuleSaysOtherwise() {
        // Two equal reads of a status bit: advice. One analysis for raising: our own choice.
        AlarmPolicy bit = only("{indication: cabinet-fan-stopped}", "").policy();
        assertThat(bit.onSamples()).isEqualTo(2);
        assertThat(bit.offSamples()).isEqualTo(2);
        assertThat(bit.onDelay()).isZero();
        AlarmPolicy gas = only("{level: hydrogen, unit: ppm, high: 150}", "").policy();
        assertThat(gas.onSamples()).isEqualTo(1);
        assertThat(gas.offSamples()).isEqualTo(2);
        assertThat(gas.onDelay()).isZero();
    }

    @Test
    void flowsAndTemperaturesTakeDeadbandAndDelayOfTheirKind() {
        // Deadbands 5 % and 1 % of span: ISA-18.2 / EEMUA 191 by public guides; delays 15 s and 60 s: from memory.
        RuleInstance flow = only("{level: oil-flow, unit: l/min, low: 0.2}", "");
        assertThat(flow.policy().onDelay()).isEqualTo(Duration.ofSeconds(15));
        assertThat(((Condition.Level) flow.condition()).deadband()).isEqualTo(0.25);
        RuleInstance temperature = only("{level: heat-sink-temperature, unit: degC, high: 60}", "");
        assertThat(temperature.policy().offDelay()).isEqualTo(Duration.ofSeconds(60));
        assertThat(((Condition.Level) temperature.condition()).deadband()).isEqualTo(1.6);
    }

    @Test
    void whoStatesADelayInSamplesGetsNoneInSecondsAndTheOtherWayRound() {
        String temperature = "{level: heat-sink-temperature, unit: degC, high: 60}";
        AlarmPolicy samples = only(temperature, "  on_samples: 3\n").policy();
        assertThat(samples.onSamples()).isEqualTo(3);
        assertThat(samples.onDelay()).isZero();
        assertThat(samples.offDelay()).as("off is not stated").isEqualTo(Duration.ofSeconds(60));
        AlarmPolicy seconds =
                only("{indication: cabinet-fan-stopped}", "  on_delay: 7 s\n").policy();
        assertThat(seconds.onDelay()).isEqualTo(Duration.ofSeconds(7));
        assertThat(seconds.onSamples()).isEqualTo(1);
        assertThat(seconds.offSamples()).isEqualTo(2);
    }

    @Test
    void anOverrideChangesOneDeviceAndNoOther() {
        List<RuleInstance> bound = Windlow.rules(FACTS, "windlow-gas-monitor.yaml").stream()
                .filter(r -> r.rule().key().equals("hydrogen-high"))
                .toList();
        assertThat(bound)
                .extracting(
                        r -> ((Condition.Level) r.condition()).limits().get(0).value())
                .containsExactly(150.0, 120.0);
        assertThat(bound)
                .extracting(RuleInstance::limitBasis)
                .containsExactly("invented example; the owner's own limits apply", "invented; history of this unit");
    }

    @Test
    void anOverrideByAssetCoversItsDevicesAndOneByDeviceGoesFirst() {
        List<RuleInstance> bound = Windlow.rulesOf(
                FACTS,
                rule(
                        "r",
                        "{map: hbg-8}",
                        "{indication: cabinet-fan-stopped}",
                        "  on_delay: 1 s\n  overrides:\n    t1: {on_delay: 2 s, priority: major}\n"
                                + "    t2: {on_delay: 3 s}\n    gas-t2: {enabled: false}\n"));
        assertThat(bound).hasSize(1);
        assertThat(bound.get(0).policy().onDelay()).isEqualTo(Duration.ofSeconds(2));
        assertThat(bound.get(0).policy().priority()).isEqualTo(Priority.MAJOR);
    }

    @Test
    void aRuleOnEveryAssetOfAKindFindsTheAssetsOwnDeviceByItsMap() {
        List<RuleInstance> bound = Windlow.rulesOf(
                FACTS, rule("r", "{assets: transformer}", "{indication: hbg-8/cabinet-fan-stopped}", ""));
        assertThat(bound).extracting(r -> r.id().toString()).containsExactly("t1/r", "t2/r");
        assertThat(bound)
                .extracting(r -> r.inputs().get(0).toString())
                .containsExactly("gas-t1/cabinet-fan-stopped", "gas-t2/cabinet-fan-stopped");
        assertThat(bound).allMatch(r -> r.device() == null);
    }

    @Test
    void twoRulesForOneAlarmAreRefusedWithBothPlaces() {
        List<AlarmRule> rules = new ArrayList<>();
        rules.addAll(Windlow.valid(RuleReader.read(
                "a.yaml", Windlow.file(rule("same", "{map: hbg-8}", "{indication: cabinet-fan-stopped}", "")))));
        rules.addAll(Windlow.valid(RuleReader.read(
                "b.yaml", Windlow.file(rule("same", "{devices: [gas-t2]}", "{indication: oil-flow-low}", "")))));
        Loaded<List<RuleInstance>> bound = RuleBinder.bind(rules, FACTS);
        assertThat(bound.value()).isNull();
        assertThat(bound.problems())
                .extracting(Problem::toString)
                .containsExactly("b.yaml:5:3: error: the alarm t2/gas-t2.same has a rule already, at a.yaml:5:3; "
                        + "give one of the two rules another key, or another scope");
    }

    @Test
    void theSameMistakeOnEveryDeviceIsToldOnce() {
        assertThat(bind(rule("r", "{map: hbg-8}", "{indication: no-such-thing}", ""))
                        .problems())
                .extracting(Problem::toString)
                .hasSize(1);
    }

    @Test
    void overdueDataThatNothingCanMakeOverdueIsWarnedOf() {
        DeviceKind kind = new DeviceKind(
                "asked-once",
                "invented",
                List.of(new DeviceKind.Point("serial", "serial", "", "", null, Duration.ZERO, Duration.ZERO, null)),
                List.of(),
                List.of(new DeviceKind.Block("once", Duration.ZERO, List.of("serial"))));
        StationFacts facts = new StationFacts(
                "s",
                "S",
                "gw1",
                List.of(new StationFacts.Asset("t1", "T1", "transformer")),
                List.of(new StationFacts.Device("d1", "device", "t1", kind, List.of())));
        List<AlarmRule> rules = Windlow.valid(
                RuleReader.read("rules.yaml", Windlow.file(rule("r", "{map: asked-once}", "{overdue: serial}", ""))));
        assertThat(RuleBinder.bind(rules, facts).problems())
                .extracting(Problem::toString)
                .containsExactly("rules.yaml:7:21: warning: nothing says how often `serial` comes, so it can never be "
                        + "overdue; add update: to the point in the map");
    }

    private static String warnings(String when, String more) {
        return bind(rule("r", "{devices: [cooling-t1]}", when, more)).problems().stream()
                .map(Problem::toString)
                .filter(p -> p.contains("never") || p.contains("always") || p.contains("error"))
                .map(p -> p.substring("rules.yaml:".length()))
                .collect(java.util.stream.Collectors.joining("\n"));
    }

    @Test
    void anExpressionThatCanNeverBeTrueIsWarnedOfWithItsPlace() {
        assertThat(warnings("{expression: pump_running && top_oil_temperature > 200.0}", ""))
                .isEqualTo(
                        "7:24: warning: `pump_running && top_oil_temperature > 200.0` can never be true, whatever its"
                                + " signals say, so the rule can never fire; correct the comparisons, or the ranges in the map");
        assertThat(warnings("{expression: top_oil_temperature < 60.0 || top_oil_temperature > 50.0}", ""))
                .contains("is always true", "the alarm can never return");
        assertThat(warnings("{expression: pump_running && top_oil_temperature > 90.0}", ""))
                .isEmpty();
        assertThat(warnings("{indication: fan-vibration}", "  suppressed_when: pump_running && !pump_running\n"))
                .contains("so nothing is ever suppressed");
        assertThat(warnings(
                        "{expression: fan_vibration && top_oil_temperature > 90.0}",
                        "  suppressed_when: top_oil_temperature > 80.0\n"))
                .contains("whenever the condition holds the alarm is suppressed");
    }

    @Test
    void aBitFieldIsComparedWithTheTextsThatItCanSay() {
        assertThat(warnings("{expression: control_mode != 'automatic' && pump_running}", ""))
                .isEmpty();
        assertThat(warnings("{expression: control_mode == 'manuel'}", ""))
                .contains("`control_mode` never says 'manuel'", "'automatic', 'manual', 'switched off'");
        assertThat(warnings("{expression: control_mode == 'manual' && control_mode == 'automatic'}", ""))
                .contains("can never be true");
        assertThat(warnings("{expression: control_mode > 1.0}", "")).contains("cannot be applied to a text and");
        assertThat(warnings("{expression: pump_running == 'manual'}", "")).contains("error");
        assertThat(warnings("{field: control-mode, says: [manual, switched off]}", ""))
                .isEmpty();
        assertThat(warnings("{field: control-mode, says: [manuel]}", ""))
                .contains("`control-mode` never says `manuel`; did you mean manual?");
        assertThat(warnings("{field: control-mode, says: [manual, automatic, switched off]}", ""))
                .contains("the alarm can never return");
        assertThat(warnings("{field: top-oil-temperature, says: [hot]}", "")).contains("is a number; use level:");
        assertThat(warnings("{level: control-mode, high: 2}", "")).contains("is a bit field", "use field: with says:");
    }

    /**
     * Fields of an alarm's record after ISA-18.2 (public summaries), EEMUA 191 and OPC 10000-9 as listed in the project's
     * fact pack; where each is in a rule file. Rows marked M there are from memory.
     */
    @ParameterizedTest
    @CsvFileSource(resources = "/oilbird/alarm/rule/alarm_record_fields.csv", numLinesToSkip = 1)
    void everyFieldOfTheRecordHasItsPlaceInARuleFile(
            String field, String type, String mandatory, String meaning, String source, String conf) {
        String schema = Windlow.text("/oilbird/schema/alarm-rules-1.schema.json");
        String key = switch (field) {
            case "alarmId" -> "rules";
            case "tag" -> "for";
            case "description" -> "says";
            case "alarmType" -> "when";
            case "class" -> "class";
            case "priority" -> "priority";
            case "cause[]" -> "causes";
            case "confirmation[]" -> "confirm";
            case "consequence" -> "consequence";
            case "consequenceSeverity" -> "consequence_severity";
            case "operatorAction[]" -> "response";
            case "timeToRespond" -> "respond_within";
            case "limit" -> "high";
            case "limitBasis" -> "limit_basis";
            case "designLimits" -> "design_limits";
            case "deadband" -> "deadband";
            case "onDelay" -> "on_delay";
            case "offDelay" -> "off_delay";
            case "latching" -> "latching";
            case "ackRequired" -> "acknowledge";
            case "reAlarmTime" -> "re_alarm";
            case "firstOutGroup" -> "first_out_group";
            case "suppressionLogic" -> "suppressed_when";
            case "shelvingAllowed" -> "shelving";
            case "maxShelveTime" -> "longest";
            case "operatingStates[]" -> "operating_states";
            case "relatedAlarms[]" -> "related";
            case "protectionLayerCredit" -> "protection_layer";
            case "testMethod" -> "test";
            case "safetyCaution" -> "cautions";
            case "display" -> "display";
            case "owner" -> "owner";
            case "rationalizedBy/date/rev" -> "rationalized";
            default -> "no place for " + field;
        };
        assertThat(schema).as(field).contains("\"" + key + "\":");
    }

    @Test
    void whatOnlySomeAlarmsStateIsReadAndHeldAgainstTheLimits() {
        RuleInstance bound = only(
                "{level: hydrogen, unit: ppm, high: 150}",
                "  consequence_severity: severe\n  design_limits: {high: 900}\n  protection_layer: true\n"
                        + "  operating_states: [in service]\n  related: [only]\n  first_out_group: gas\n  display: bay T1\n");
        assertThat(bound.rule().record().further())
                .isEqualTo(new Rationalization.Further(
                        Rationalization.Severity.SEVERE,
                        null,
                        900.0,
                        true,
                        List.of("in service"),
                        List.of("only"),
                        "gas",
                        "bay T1"));
        assertThat(bind(rule(
                                "late",
                                "{devices: [gas-t1]}",
                                "{level: hydrogen, unit: ppm, high: 150}",
                                "  design_limits: {high: 120}\n"))
                        .problems())
                .extracting(Problem::toString)
                .anySatisfy(p -> assertThat(p).contains("the design limit 120 is reached already"));
        assertThat(bind(rule("a", "{devices: [gas-t1]}", "{communication: lost}", "  related: [b]\n"))
                        .problems())
                .extracting(Problem::toString)
                .anySatisfy(p -> assertThat(p).contains("there is no rule `b`"));
    }

    @Test
    void aClassMayBeAcknowledgedByItselfButNeverOneThatProtects() {
        String rule = rule("r", "{devices: [gas-t1]}", "{communication: lost}", "");
        String file = Windlow.file(rule).replace("rules:\n", "acknowledge_by_class: {auxiliary: on-return}\nrules:\n");
        List<AlarmRule> read = Windlow.valid(RuleReader.read("rules.yaml", file));
        assertThat(Windlow.valid(RuleBinder.bind(read, FACTS)).get(0).policy().acknowledgement())
                .isEqualTo(Acknowledgement.ON_RETURN);
        String own = file.replace("  priority: minor", "  priority: minor\n    acknowledge: by-person");
        assertThat(Windlow.valid(RuleBinder.bind(Windlow.valid(RuleReader.read("rules.yaml", own)), FACTS))
                        .get(0)
                        .policy()
                        .acknowledgement())
                .as("the rule itself says otherwise")
                .isEqualTo(Acknowledgement.BY_PERSON);
        assertThat(RuleReader.read("rules.yaml", file.replace("auxiliary: on-return", "safety: by-rule"))
                        .problems())
                .extracting(Problem::toString)
                .anySatisfy(p -> assertThat(p).contains("of the class safety is acknowledged by a person"));
    }

    @Test
    void anAlarmAsksForAConfirmationOnlyWhereItsRuleOrItsClassSaysSo() {
        String file = Windlow.file(rule("r", "{devices: [gas-t1]}", "{communication: lost}", ""));
        String byClass = file.replace("rules:\n", "to_be_confirmed_by_class: {auxiliary: true}\nrules:\n");
        assertThat(confirmation(file)).isFalse();
        assertThat(confirmation(file.replace("  priority: minor", "  priority: minor\n    to_be_confirmed: true")))
                .isTrue();
        assertThat(confirmation(byClass)).isTrue();
        assertThat(confirmation(byClass.replace("  priority: minor", "  priority: minor\n    to_be_confirmed: false")))
                .as("the rule itself says otherwise")
                .isFalse();
        assertThat(RuleReader.read("rules.yaml", byClass.replace("auxiliary: true", "auxilary: true"))
                        .problems())
                .extracting(Problem::toString)
                .anySatisfy(p -> assertThat(p).contains("`auxilary`").contains("did you mean auxiliary"));
    }

    private static boolean confirmation(String file) {
        return Windlow.valid(RuleBinder.bind(Windlow.valid(RuleReader.read("rules.yaml", file)), FACTS))
                .get(0)
                .policy()
                .confirmation();
    }

    @Test
    void whatNobodyVerifiedIsListedWithTheAlarm() {
        StationFacts facts = Windlow.facts(List.of("hydrogen"));
        assertThat(Windlow.rules(facts, "windlow-gas-monitor.yaml"))
                .filteredOn(r -> !r.unverified().isEmpty())
                .extracting(r -> r.rule().key())
                .containsOnly("hydrogen-high", "analysis-overdue");
    }

    @Test
    void numbersAreWrittenWithoutLocaleExponentOrTail() {
        assertThat(List.of(150.0, 0.1 + 0.2, 1e7, 1e-7, -0.0, 24.900000000000002, 123456789.0))
                .extracting(PlainNumber::of)
                .containsExactly("150", "0.3", "10000000", "0.0000001", "0", "24.9", "123457000");
    }

    @Test
    void everyClassHasDefaultsAndATrouble() {
        for (AlarmClass alarmClass : AlarmClass.values()) {
            RuleDefaults.ClassAttributes attributes = RuleDefaults.attributes(alarmClass);
            assertThat(attributes.shelvingAllowed())
                    .as(alarmClass.name())
                    .isEqualTo(!attributes.longestShelving().isZero());
        }
        assertThat(RuleDefaults.trouble(AlarmClass.INSTRUMENT_DIAGNOSTIC)).isEqualTo(Trouble.MONITOR);
        assertThat(RuleDefaults.trouble(AlarmClass.AUXILIARY)).isEqualTo(Trouble.TRANSFORMER);
    }
}
