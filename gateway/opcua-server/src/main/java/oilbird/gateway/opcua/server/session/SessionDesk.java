package oilbird.gateway.opcua.server.session;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.LongSupplier;
import java.util.stream.Collectors;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.AccessTable;
import oilbird.gateway.access.Action;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.Session;
import org.eclipse.milo.opcua.sdk.server.SessionListener;
import org.eclipse.milo.opcua.sdk.server.identity.Identity;
import org.eclipse.milo.opcua.sdk.server.servicesets.impl.DefaultSessionServiceSet;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.structured.ActivateSessionRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.ActivateSessionResponse;
import org.eclipse.milo.opcua.stack.core.types.structured.CloseSessionRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.CreateSessionRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.CreateSessionResponse;
import org.eclipse.milo.opcua.stack.core.types.structured.RequestHeader;
import org.eclipse.milo.opcua.stack.transport.server.ServiceRequestContext;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * The sessions of clients: those that were made and never activated give way (OPC UA Part 4, 5.7.2), and those whose
 * user may no longer look are ended.
 */
public final class SessionDesk {
    private static final Logger LOG = Logger.getLogger(SessionDesk.class);
    private static final long ACTIVATED_WITHIN_NANOS = 15_000_000_000L;
    private static final int WAITING_AT_MOST = 5;

    private final OpcUaServer server;
    private final Access access;
    private final Users users;
    private final Rights rights;
    private final LongSupplier nanos;
    private final Map<NodeId, Waiting> waiting = new LinkedHashMap<>();

    /** A session that was made and is not activated yet. */
    private record Waiting(ServiceRequestContext context, String address, long since) {}

    public SessionDesk(OpcUaServer server, Access access, Users users, Rights rights, LongSupplier nanos) {
        this.server = server;
        this.access = access;
        this.users = users;
        this.rights = rights;
        this.nanos = nanos;
        server.getSessionManager().addSessionListener(new SessionListener() {
            @Override
            public void onSessionClosed(Session session) {
                end(proof(session.getIdentity()));
            }
        });
    }

    /** The services of sessions, to be put in the place of the library's. */
    public DefaultSessionServiceSet services() {
        return new DefaultSessionServiceSet(server) {
            @Override
            public CreateSessionResponse onCreateSession(ServiceRequestContext context, CreateSessionRequest request)
                    throws UaException {
                String address = context.clientAddress().getHostAddress();
                giveWay(address);
                CreateSessionResponse response = super.onCreateSession(context, request);
                synchronized (waiting) {
                    waiting.put(response.getAuthenticationToken(), new Waiting(context, address, nanos.getAsLong()));
                }
                return response;
            }

            @Override
            public ActivateSessionResponse onActivateSession(
                    ServiceRequestContext context, ActivateSessionRequest request) throws UaException {
                users.taken();
                try {
                    ActivateSessionResponse response = super.onActivateSession(context, request);
                    synchronized (waiting) {
                        waiting.remove(request.getRequestHeader().getAuthenticationToken());
                    }
                    return response;
                } finally {
                    settle(users.taken());
                }
            }
        };
    }

    /** Of the proof that was given now and the one from before, the session keeps one; the other is over. */
    private void settle(Users.@Nullable Made made) {
        if (made == null) {
            return;
        }
        Proof kept = proof(made.session().getIdentity());
        if (kept != made.proof()) {
            end(made.proof());
        } else if (proof(made.before()) != kept) {
            end(proof(made.before()));
        }
    }

    private static @Nullable Proof proof(@Nullable Identity identity) {
        return identity != null && identity.getUserData() instanceof Proof proof ? proof : null;
    }

    private void end(@Nullable Proof proof) {
        if (proof instanceof Proof.OfPerson person) {
            access.signOut(person.session(), Rights.DOOR);
        }
    }

    /** Closes sessions that were not activated: those that waited too long, and the oldest of whoever has most. */
    private void giveWay(String address) {
        long now = nanos.getAsLong();
        long most = server.getConfig().getLimits().getMaxSessions().longValue();
        boolean full = server.getSessionManager().getCurrentSessionCount().longValue() >= most;
        List<Map.Entry<NodeId, Waiting>> over = new ArrayList<>();
        synchronized (waiting) {
            waiting.entrySet().removeIf(e -> {
                boolean late = now - e.getValue().since() > ACTIVATED_WITHIN_NANOS;
                if (late) {
                    over.add(Map.entry(e.getKey(), e.getValue()));
                }
                return late;
            });
            Map<String, Long> counts = waiting.values().stream()
                    .collect(Collectors.groupingBy(Waiting::address, LinkedHashMap::new, Collectors.counting()));
            String from = counts.getOrDefault(address, 0L) >= WAITING_AT_MOST
                    ? address
                    : full && over.isEmpty() && !counts.isEmpty()
                            ? counts.entrySet().stream()
                                    .max(Comparator.comparingLong(Map.Entry::getValue))
                                    .orElseThrow()
                                    .getKey()
                            : null;
            if (from != null) {
                Map.Entry<NodeId, Waiting> oldest = waiting.entrySet().stream()
                        .filter(e -> e.getValue().address().equals(from))
                        .findFirst()
                        .orElseThrow();
                over.add(Map.entry(oldest.getKey(), oldest.getValue()));
                waiting.remove(oldest.getKey());
            }
        }
        over.forEach(e -> close(e.getKey(), e.getValue()));
    }

    private void close(NodeId token, Waiting session) {
        try {
            server.getSessionManager()
                    .closeSession(
                            new CloseSessionRequest(
                                    new RequestHeader(
                                            token,
                                            DateTime.now(),
                                            UInteger.MIN,
                                            UInteger.MIN,
                                            null,
                                            UInteger.MIN,
                                            null),
                                    true),
                            session.context());
        } catch (UaException gone) {
            LOG.debugf("GW-2711 a session that was never activated has ended by itself: %s", gone.getMessage());
        }
    }

    /** Ends the sessions of those who may no longer look, and those that were never activated. Called every second. */
    public void sweep() {
        giveWay("");
        for (Session session : server.getSessionManager().getAllSessions()) {
            if (proof(session.getIdentity()) != null
                    && access.table().answer(rights.caller(session), Action.VIEW) != AccessTable.Answer.ALLOWED) {
                LOG.infof(
                        "GW-2712 the OPC UA session of %s is ended: the account was removed or has changed",
                        session.getClientUserId());
                server.getSessionManager().killSession(session.getSessionId(), true);
            }
        }
    }
}
