package oilbird.alarm.state;

/**
 * Who did a human act, or what did an automatic one.
 *
 * @param name the person's name as given, or the name of the rule that acted.
 * @param door where the act came in: {@code page}, {@code rest}, {@code command}, a link's id, or
 *     {@code rule}.
 */
public record Actor(String name, String door) {
    public Actor {
        if (name.isBlank()) {
            throw new IllegalArgumentException("an act needs a name");
        }
    }
}
