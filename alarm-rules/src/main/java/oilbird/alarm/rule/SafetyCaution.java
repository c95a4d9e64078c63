package oilbird.alarm.rule;

/**
 * A warning that goes with first checks on certain equipment.
 *
 * @param id {@code S01} to {@code S32}.
 * @param text our own words; informs, and never replaces the owner's rules.
 * @param minimumExposure a check with this caution has at least this exposure, 0 to 4.
 * @param standard where the practice is written down.
 */
public record SafetyCaution(String id, String text, int minimumExposure, String standard) {}
