package oilbird.gateway.engine.writer;

import java.time.Duration;

/**
 * Bounds of the writer.
 *
 * @param inputs waiting inputs from which on readings of one block are merged.
 * @param inputsLimit waiting inputs that are never exceeded.
 * @param batch inputs folded into one transaction at most.
 * @param batchEvents events in one transaction from which on no further input is folded into it: bounds the time of a
 *     commit, and with it everybody's wait.
 * @param failuresBeforeMemory failed commits in a row after which events are announced from memory.
 * @param firstRetry wait after the first failed commit; doubled up to {@code lastRetry}.
 * @param lastRetry longest wait between tries, also while announcing from memory.
 * @param unwritten events kept for the disk while it cannot be written; beyond it the oldest are given up.
 * @param heartbeat how often the gateway's own indications are told when nothing changed.
 * @param lossShown how long {@link GatewayIndication#INPUTS_LOST} holds after the last loss.
 * @param viewInterval shortest time between two pictures of the station.
 * @param cursorInterval longest time until a confirmed event is saved as confirmed.
 * @param lifeInterval longest time without a commit: an empty one notes that the gateway lives, and finds a full disk
 *     before an event needs it.
 */
public record WriterSettings(
        int inputs,
        int inputsLimit,
        int batch,
        int batchEvents,
        int failuresBeforeMemory,
        Duration firstRetry,
        Duration lastRetry,
        int unwritten,
        Duration heartbeat,
        Duration lossShown,
        Duration viewInterval,
        Duration cursorInterval,
        Duration lifeInterval) {
    public static final WriterSettings DEFAULT = new WriterSettings(
            8_192,
            65_536,
            4_096,
            4_096,
            4,
            Duration.ofMillis(100),
            Duration.ofSeconds(10),
            50_000,
            Duration.ofSeconds(10),
            Duration.ofMinutes(1),
            Duration.ofMillis(100),
            Duration.ofSeconds(1),
            Duration.ofMinutes(1));
}
