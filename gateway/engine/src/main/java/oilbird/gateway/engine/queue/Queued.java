package oilbird.gateway.engine.queue;

import oilbird.alarm.station.StationInput;
import org.jspecify.annotations.Nullable;

/**
 * An input as the writer takes it from the queue.
 *
 * @param input the newest of those that this place in line stands for.
 * @param since monotonic nanoseconds of the first of them; timers must not run ahead of it.
 * @param ticket what the act's door handed in with it; null for inputs of pollers.
 */
public record Queued(
        StationInput input, long since, @Nullable Object ticket) {}
