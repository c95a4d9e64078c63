package oilbird.gateway.engine.record;

/** A stored row does not say what its kind and version promise. */
public final class UnreadableRowException extends RuntimeException {
    private static final long serialVersionUID = 1L;

    public UnreadableRowException(String message) {
        super(message);
    }
}
