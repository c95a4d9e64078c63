package oilbird.alarm.transformer;

/**
 * One thing that a reader of a finding must know beside its value.
 *
 * @param subject what the remark is about: a gas, a limit, a disputed cell, a figure.
 */
public record Remark(Kind kind, String subject) {
    /** What kind of caution it is, each with plain words into which the subject is put. */
    public enum Kind {
        VALUE_LEFT_OUT("left out: %s"),
        UNIT_CONVERTED("converted to microlitre per litre: %s"),
        BELOW_DETECTION("below its detection limit, taken as zero and anywhere up to the limit in the error: %s"),
        NEAR_DETECTION("near its detection limit, so the ratio is weak: %s"),
        NEGATIVE_TAKEN_AS_BELOW_DETECTION("slightly negative, taken as below detection: %s"),
        DUPLICATE_DROPPED("given twice, counted once: %s"),
        PUT_IN_ORDER("not in order of time, sorted: %s"),
        SINGLE_GAS("the answer rests on one gas: %s"),
        OVERLAP("more than one case of the table fits: %s"),
        HANGS_ON_DISPUTED("copies of the source disagree and the answer hangs on it: %s"),
        CHANGES_WITHIN_ERROR("a measurement error within the stated band would change the answer: %s"),
        TAP_CHANGER_GAS("gas from the tap changer may have reached the main tank: %s"),
        PAPER("paper may be involved: %s"),
        OXIDATION("oxygen or oxidation: %s"),
        DEFAULT_TAKEN("not known, so the stated default was taken: %s"),
        AFTER_TREATMENT("levels after an oil treatment understate what happened before it: %s"),
        FROM_MEMORY("the limit is from memory and not confirmed in the source: %s"),
        ONE_SOURCE("the limit stands on one source: %s"),
        OUTSIDE_ZONES("the point lies in a sliver without a zone, the nearest zone was taken: %s"),
        THINNED("online samples were thinned: %s"),
        RESTARTED("the trend starts anew: %s"),
        GAP("values were missing for longer than they may be held: %s"),
        OUT_OF_VALIDITY("outside the limits of validity: %s");

        private final String pattern;

        Kind(String pattern) {
            this.pattern = pattern;
        }
    }

    /** The remark in plain words, without a full stop. */
    public String sentence() {
        return kind.pattern.replace("%s", subject);
    }
}
