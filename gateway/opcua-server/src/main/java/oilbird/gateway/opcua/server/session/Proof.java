package oilbird.gateway.opcua.server.session;

import oilbird.gateway.access.Access;
import oilbird.gateway.access.Caller;

/** By what a session's user was let in; asked again whenever it counts. */
sealed interface Proof {
    Caller caller(Access access, String address);

    /**
     * A name and a password.
     *
     * @param session of the access, which ends with the account, its password or its role.
     */
    record OfPerson(String session) implements Proof {
        @Override
        public Caller caller(Access access, String address) {
            return access.caller(address, session, null);
        }
    }

    /** A token, given as the password of a user of its name. */
    record OfProgram(String token) implements Proof {
        @Override
        public Caller caller(Access access, String address) {
            return access.caller(address, null, token);
        }
    }
}
