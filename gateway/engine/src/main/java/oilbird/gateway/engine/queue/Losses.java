package oilbird.gateway.engine.queue;

/**
 * What the queue could not keep since the start. Each only grows.
 *
 * @param merged inputs whose readings were replaced by newer ones of the same block while they waited.
 * @param readings inputs lost that carried no change of an indication.
 * @param indications inputs lost that carried one.
 */
public record Losses(long merged, long readings, long indications) {
    public boolean any() {
        return readings + indications > 0;
    }
}
