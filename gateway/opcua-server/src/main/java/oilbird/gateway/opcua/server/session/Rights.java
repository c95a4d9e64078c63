package oilbird.gateway.opcua.server.session;

import java.net.InetAddress;
import oilbird.alarm.state.Actor;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.AccessTable;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Caller;
import org.eclipse.milo.opcua.sdk.server.Session;
import org.eclipse.milo.opcua.sdk.server.identity.Identity;
import org.jspecify.annotations.Nullable;

/** The one place where a session of a client is asked who is behind it and what that person or program may do. */
public final class Rights {
    /** The door as the record names it. */
    public static final String DOOR = "opc-ua";

    private final Access access;
    private final boolean anonymousLooks;

    /** @param anonymousLooks whether a client that names no user may look. */
    public Rights(Access access, boolean anonymousLooks) {
        this.access = access;
        this.anonymousLooks = anonymousLooks;
    }

    /** Who is behind a session now: nobody once the account was removed, or its password or role has changed. */
    public Caller caller(Session session) {
        Identity identity = session.getIdentity();
        String address = address(session);
        return identity != null && identity.getUserData() instanceof Proof proof
                ? proof.caller(access, address)
                : new Caller.Anonymous(address);
    }

    static String address(Session session) {
        InetAddress address = session.getClientAddress();
        return address == null ? "" : address.getHostAddress();
    }

    /**
     * Whether a caller may do something; a refusal is recorded.
     *
     * @param what the method, for the record.
     */
    public boolean may(Caller caller, Action action, String what) {
        if (access.table().answer(caller, action) == AccessTable.Answer.ALLOWED
                || anonymousLooks && action == Action.VIEW && caller instanceof Caller.Anonymous) {
            return true;
        }
        access.refused(caller, what + " over OPC UA");
        return false;
    }

    /** Whose name the record gets; null for somebody who has not proved anything. */
    public static @Nullable Actor actor(Caller caller) {
        if (caller instanceof Caller.Person person) {
            return new Actor(person.name(), DOOR);
        }
        return caller instanceof Caller.Program program ? new Actor(program.name(), DOOR) : null;
    }
}
