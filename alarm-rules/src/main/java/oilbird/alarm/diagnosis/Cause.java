package oilbird.alarm.diagnosis;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.rule.Trouble;
import oilbird.mapping.text.Position;
import org.jspecify.annotations.Nullable;

/**
 * Something that can go wrong, as a fault model describes it.
 *
 * @param name unique within its fault model.
 * @param says the cause in plain words, as the rest of a sentence that begins with the asset's name:
 *     {@code the {device}'s cabinet fan is worn out}. {@code {device}} and {@code {asset}} stand for what they name.
 * @param trouble whose trouble it is.
 * @param makes readings of the device that it makes doubtful or worthless.
 * @param keepAway nobody is sent near the asset while this cause is to be reckoned with.
 * @param call whom to call, in words that follow "call the".
 * @param respondWithin time to respond; null where nobody said.
 * @param spares what to bring to put it right.
 * @param tools what else to bring.
 * @param firstChecks names of first checks of the fault model or of the device map that tell it from others, as written.
 * @param proving what has to be seen after a repair before it counts as gone.
 */
public record Cause(
        String name,
        String says,
        Trouble trouble,
        Rate rate,
        List<Produced> produces,
        List<Support> supports,
        List<Makes> makes,
        boolean keepAway,
        String call,
        @Nullable Duration respondWithin,
        List<String> spares,
        List<String> tools,
        List<String> firstChecks,
        Proving proving,
        Position position) {
    /**
     * Readings that cannot be trusted with the cause.
     *
     * @param name of a point or of a group of points of the device.
     * @param worthless true where nothing can be concluded from them at all.
     * @param periodsAfter for how many update periods or analyses the doubt outlasts the cause.
     */
    public record Makes(String name, boolean worthless, int periodsAfter, Position position) {}

    public Cause {
        produces = List.copyOf(produces);
        supports = List.copyOf(supports);
        makes = List.copyOf(makes);
        spares = List.copyOf(spares);
        tools = List.copyOf(tools);
        firstChecks = List.copyOf(firstChecks);
    }
}
