package oilbird.gateway.opcua.server.event;

import oilbird.gateway.access.Caller;
import org.eclipse.milo.opcua.sdk.server.Session;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodRequest;
import org.jspecify.annotations.Nullable;

/**
 * A method that a client calls.
 *
 * @param session that it came through.
 * @param caller who is behind the session, as of now.
 * @param auditEntry the client's own number for its audit trail; null for none.
 */
public record MethodCall(
        Session session,
        Caller caller,
        CallMethodRequest request,
        @Nullable String auditEntry) {}
