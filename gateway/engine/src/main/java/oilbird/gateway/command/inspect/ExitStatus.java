package oilbird.gateway.command.inspect;

/** What the command {@code inspect} ends with. */
public final class ExitStatus {
    public static final int DONE = 0;
    /** The device does not answer, or a file cannot be written. */
    public static final int DID_NOT_WORK = 1;
    /** The command was given wrongly, or a file has mistakes. */
    public static final int REFUSED = 2;

    private ExitStatus() {}
}
