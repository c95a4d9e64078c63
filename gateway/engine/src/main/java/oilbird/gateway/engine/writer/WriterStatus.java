package oilbird.gateway.engine.writer;

import oilbird.gateway.engine.queue.Losses;
import org.jspecify.annotations.Nullable;

/**
 * How the writer stands, for pages and probes.
 *
 * @param waiting inputs in line.
 * @param losses what the line could not keep.
 * @param committed transactions since the start.
 * @param recorded events made durable since the start.
 * @param unwritten events announced from memory that still wait for the disk.
 * @param fromMemory true while events are announced without the disk.
 * @param lastCommitNanos how long the last successful commit took.
 * @param lastFailure the last failed commit in words, or null.
 */
public record WriterStatus(
        int waiting,
        Losses losses,
        long committed,
        long recorded,
        int unwritten,
        boolean fromMemory,
        long lastCommitNanos,
        @Nullable String lastFailure) {}
