package oilbird.gateway.opcua.server.session;

import java.util.EnumSet;
import java.util.Set;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Caller;
import org.eclipse.milo.opcua.sdk.server.Session;
import org.eclipse.milo.opcua.sdk.server.identity.AbstractUsernameIdentityValidator;
import org.eclipse.milo.opcua.sdk.server.identity.DefaultAnonymousIdentity;
import org.eclipse.milo.opcua.sdk.server.identity.DefaultUsernameIdentity;
import org.eclipse.milo.opcua.sdk.server.identity.Identity;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.types.enumerated.UserTokenType;
import org.eclipse.milo.opcua.stack.core.types.structured.AnonymousIdentityToken;
import org.eclipse.milo.opcua.stack.core.types.structured.SignatureData;
import org.eclipse.milo.opcua.stack.core.types.structured.UserTokenPolicy;
import org.jspecify.annotations.Nullable;

/**
 * Lets users of the gateway in by name and password, and programs by the name of their token with the token as
 * password. Whoever may not even look is not let in.
 */
public final class Users extends AbstractUsernameIdentityValidator {
    private final Access access;
    private final Rights rights;
    private final boolean anonymous;
    private final ThreadLocal<@Nullable Made> made = new ThreadLocal<>();

    /** What was proved last on this thread; whether the session takes it is decided afterwards. */
    record Made(Session session, @Nullable Identity before, Proof proof) {}

    /**
     * @param anonymous whether a client that names no user may look.
     */
    public Users(Access access, Rights rights, boolean anonymous) {
        this.access = access;
        this.rights = rights;
        this.anonymous = anonymous;
    }

    @Override
    public Set<UserTokenType> getSupportedTokenTypes() {
        return anonymous ? EnumSet.of(UserTokenType.Anonymous, UserTokenType.UserName) : Set.of(UserTokenType.UserName);
    }

    @Override
    protected Identity.AnonymousIdentity validateAnonymousToken(
            Session session, AnonymousIdentityToken token, UserTokenPolicy policy, SignatureData signature)
            throws UaException {
        if (!anonymous) {
            throw new UaException(StatusCodes.Bad_IdentityTokenRejected);
        }
        return new DefaultAnonymousIdentity();
    }

    @Override
    protected Identity.@Nullable UsernameIdentity authenticateUsernamePassword(
            Session session, String name, String password) {
        String address = Rights.address(session);
        Proof proof = prove(name, password, address);
        if (proof == null) {
            return null;
        }
        made.set(new Made(session, session.getIdentity(), proof));
        Caller caller = proof.caller(access, address);
        if (!rights.may(caller, Action.VIEW, "a session")) {
            return null;
        }
        Identity.UsernameIdentity identity = new DefaultUsernameIdentity(name);
        identity.setUserData(proof);
        return identity;
    }

    private @Nullable Proof prove(String name, String password, String address) {
        if (access.accounts().tokens().values().stream().anyMatch(t -> t.name().equals(name))) {
            return access.caller(address, null, password) instanceof Caller.Program program
                            && program.name().equals(name)
                    ? new Proof.OfProgram(password)
                    : null;
        }
        return access.connect(name, password, address, Rights.DOOR) instanceof Access.Outcome.Granted granted
                ? new Proof.OfPerson(granted.session())
                : null;
    }

    /** What was proved on this thread since it was last asked; null for nothing. */
    @Nullable
    Made taken() {
        Made last = made.get();
        made.remove();
        return last;
    }
}
