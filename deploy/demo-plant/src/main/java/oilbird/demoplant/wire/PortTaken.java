package oilbird.demoplant.wire;

/** A listening port that could not be had; the message names port, purpose and remedy. */
public final class PortTaken extends Exception {
    private static final long serialVersionUID = 1L;

    /**
     * @param purpose what the port is for, e.g. {@code gas-t1}
     * @param port the port asked for
     * @param cause what the system said
     */
    public PortTaken(String purpose, int port, Throwable cause) {
        super(
                "cannot listen on port " + port + " of 127.0.0.1 for " + purpose + ": " + cause.getMessage()
                        + "; stop what uses it, or choose another with --ports " + purpose
                        + "=NUMBER (0: any free one)",
                cause);
    }
}
