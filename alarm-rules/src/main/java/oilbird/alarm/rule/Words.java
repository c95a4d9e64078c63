package oilbird.alarm.rule;

/** Fills the placeholders of a rule's words. */
public final class Words {
    private Words() {}

    /**
     * The words with every placeholder replaced.
     *
     * @param value present value with its unit.
     * @param limit the limit that counts, with its unit.
     */
    public static String filled(String words, RuleInstance rule, String value, String limit) {
        String device = rule.device() == null ? "" : rule.device().name();
        return words.replace("{device}", device)
                .replace("{asset}", rule.asset().name())
                .replace("{value}", value)
                .replace("{limit}", limit);
    }
}
