package oilbird.gateway.engine.simulation;

/** The simulated gateway ends at this very step. An Error, so that nothing on the way up takes it for an ordinary fault. */
final class PowerLost extends Error {
    private static final long serialVersionUID = 1L;

    PowerLost(String where) {
        super(where, null, false, false);
    }
}
