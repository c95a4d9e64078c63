package oilbird.alarm.station;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.transformer.derived.TransformerSetup;

/**
 * Everything that the fold must know of a station, fixed while a station folder is loaded.
 *
 * @param rules one for each alarm.
 * @param causes what can go wrong, for diagnosis.
 * @param rulesVersion digest of the rule files, for the record; empty when there is none.
 * @param transformers those whose condition is computed; each has a derived device among the facts.
 */
public record StationModel(
        StationFacts facts,
        List<RuleInstance> rules,
        StationCauses causes,
        Settings settings,
        String rulesVersion,
        List<TransformerSetup> transformers) {
    /** A station without fault models and without computation of transformers. */
    public StationModel(StationFacts facts, List<RuleInstance> rules, Settings settings, String rulesVersion) {
        this(facts, rules, StationCauses.NONE, settings, rulesVersion, List.of());
    }

    /** Who owns acknowledgement. */
    public enum AcknowledgementOwner {
        /** Persons acknowledge here. */
        GATEWAY,
        /** The control room's system asks its own operators; alarms here are acknowledged by rule. */
        CONTROL_ROOM
    }

    /**
     * What a station may set otherwise.
     *
     * @param chatterCount activations within {@code chatterWindow} that mark an alarm as chattering.
     * @param leastStaleAge no signal whose age is judged by its poll period is stale before this age, so that
     *     a late answer alone makes nothing stale.
     * @param startUpHold how long new alarms wait at most for all devices to answer, after a start and after all of
     *     them were silent; zero for not at all.
     */
    public record Settings(
            AcknowledgementOwner acknowledgementOwner,
            int chatterCount,
            Duration chatterWindow,
            Duration leastStaleAge,
            Duration startUpHold) {
        /** 3 activations in 60 s: common practice; the standards are qualitative. */
        public static final Settings DEFAULT =
                new Settings(AcknowledgementOwner.GATEWAY, 3, Duration.ofSeconds(60), Duration.ofSeconds(5));

        /** Settings without a start-up hold. */
        public Settings(
                AcknowledgementOwner acknowledgementOwner,
                int chatterCount,
                Duration chatterWindow,
                Duration leastStaleAge) {
            this(acknowledgementOwner, chatterCount, chatterWindow, leastStaleAge, Duration.ZERO);
        }
    }

    public StationModel {
        rules = List.copyOf(rules);
        transformers = List.copyOf(transformers);
    }

}
