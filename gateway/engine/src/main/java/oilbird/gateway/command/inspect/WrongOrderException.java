package oilbird.gateway.command.inspect;

/** The command was given wrongly; the message says how. */
public final class WrongOrderException extends Exception {
    private static final long serialVersionUID = 1L;

    public WrongOrderException(String message) {
        super(message);
    }
}
