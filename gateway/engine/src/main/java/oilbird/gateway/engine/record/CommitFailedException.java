package oilbird.gateway.engine.record;

/** The disk did not take a commit; nothing of it was made durable. */
public final class CommitFailedException extends Exception {
    private static final long serialVersionUID = 1L;

    public CommitFailedException(String message, Throwable cause) {
        super(message, cause);
    }

    public CommitFailedException(String message) {
        super(message);
    }
}
