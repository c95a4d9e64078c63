package oilbird.demoplant;

/** A command line that cannot be understood; the message says what is wrong and what would do. */
final class UsageException extends Exception {
    private static final long serialVersionUID = 1L;

    UsageException(String message) {
        super(message);
    }
}
