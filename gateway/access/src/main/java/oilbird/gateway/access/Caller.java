package oilbird.gateway.access;

import java.util.Set;

/** Who asks, as far as it was proved. */
public sealed interface Caller {
    /** From where: an IP address, or empty for this machine's own command line. */
    String address();

    /** Nobody has proved anything. */
    record Anonymous(String address) implements Caller {}

    /**
     * A signed-in person.
     *
     * @param session handle of the session, which is not its secret.
     * @param locked nothing was done for so long that only looking is left.
     */
    record Person(String name, String role, String session, boolean locked, String address) implements Caller {}

    /**
     * A program with a token.
     *
     * @param name of the token.
     */
    record Program(String name, Set<Action> scope, String address) implements Caller {
        public Program {
            scope = Set.copyOf(scope);
        }
    }
}
