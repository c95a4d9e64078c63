package oilbird.gateway.engine.writer;

import java.util.concurrent.CompletableFuture;
import oilbird.alarm.station.StationInput;

/** Where human acts come in, from pages, REST and links. Never blocks; thread-safe. */
@FunctionalInterface
public interface ActDoor {
    /** Puts one act in line; the future completes after the outcome is durable, never exceptionally. */
    CompletableFuture<ActResult> act(StationInput.Asked act);
}
