package oilbird.gateway.engine.outbox;

/** The other side will never take this one event, however often it is sent. */
public final class UnsendableException extends Exception {
    private static final long serialVersionUID = 1L;

    public UnsendableException(String message) {
        super(message);
    }
}
