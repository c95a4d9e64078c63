package oilbird.alarm.diagnosis;

import java.time.Duration;
import oilbird.mapping.text.Position;

/**
 * A sign that a cause produces.
 *
 * @param probability how surely the cause alone produces it in the end, above 0 and at most 1.
 * @param within time from the cause's beginning by which it shows if it shows at all; before that its absence says
 *     nothing.
 */
public record Produced(SignName sign, double probability, Duration within, Position position) {}
