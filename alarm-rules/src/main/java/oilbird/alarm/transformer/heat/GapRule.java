package oilbird.alarm.transformer.heat;

import java.time.Duration;

/**
 * How long a missing load or ambient temperature is taken as unchanged, and between what bounds it may lie after
 * that. The bounds are carried through the equations and shrink again as the model forgets. Our choices.
 *
 * @param mostLoad upper bound of an unknown load, factor of rated; the lower bound is none.
 * @param ambientReach how far an unknown ambient may be from the last known one, kelvin.
 * @param doubtfulKelvin width of the hot-spot band from which a result is doubtful.
 */
public record GapRule(
        Duration holdLoad, Duration holdAmbient, double mostLoad, double ambientReach, double doubtfulKelvin) {
    public static final GapRule USUAL = new GapRule(Duration.ofMinutes(15), Duration.ofHours(2), 1.2, 10, 4);
}
