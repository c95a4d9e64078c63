package oilbird.alarm.diagnosis;

import java.time.Duration;
import oilbird.mapping.text.Position;
import org.jspecify.annotations.Nullable;

/**
 * A sign that a cause produces.
 *
 * @param probability how surely the cause alone produces it in the end, above 0 and at most 1.
 * @param within time from the cause's beginning by which it shows if it shows at all; before that its absence says
 *     nothing.
 * @param lasts how long it holds at most with this cause; null where it holds as long as the cause does. What has held
 *     for longer is not explained by it, and its absence says nothing, as it may have come and gone.
 */
public record Produced(
        SignName sign,
        double probability,
        Duration within,
        @Nullable Duration lasts,
        Position position) {}
