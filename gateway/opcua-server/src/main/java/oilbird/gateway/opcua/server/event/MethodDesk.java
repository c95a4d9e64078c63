package oilbird.gateway.opcua.server.event;

import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.TimeUnit;
import oilbird.gateway.access.Caller;
import oilbird.gateway.opcua.server.session.Rights;
import org.eclipse.milo.opcua.sdk.server.AddressSpace.CallContext;
import org.eclipse.milo.opcua.sdk.server.DiagnosticsContext;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.Session;
import org.eclipse.milo.opcua.sdk.server.servicesets.impl.AccessController.AccessResult;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodResult;
import org.eclipse.milo.opcua.stack.core.types.structured.CallRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.CallResponse;
import org.eclipse.milo.opcua.stack.core.types.structured.RequestHeader;
import org.eclipse.milo.opcua.stack.core.types.structured.ResponseHeader;
import org.eclipse.milo.opcua.stack.transport.server.ServiceRequestContext;
import org.jboss.logging.Logger;

/**
 * The service Call. Acts wait for the disk, so no thread of the server waits with them: the answer is sent when all
 * methods of a request have ended. Each method is asked for on its own, since the library, where a request has one
 * method that is refused, carries all of them out.
 */
public final class MethodDesk {
    private static final Logger LOG = Logger.getLogger(MethodDesk.class);
    private static final long PATIENCE_SECONDS = 15;

    private final OpcUaServer server;
    private final EventSide side;
    private final Rights rights;

    public MethodDesk(OpcUaServer server, EventSide side, Rights rights) {
        this.server = server;
        this.side = side;
        this.rights = rights;
    }

    /** Fails with the status for the whole request; a method that fails has its status in the response. */
    public CompletableFuture<CallResponse> call(ServiceRequestContext context, CallRequest request) {
        Session session;
        try {
            session = server.getSessionManager().getSession(context, request.getRequestHeader());
        } catch (UaException e) {
            return CompletableFuture.failedFuture(e);
        }
        var counters = session.getSessionDiagnostics();
        counters.getCallCount().incrementTotalCount();
        counters.getTotalRequestCount().incrementTotalCount();
        CallMethodRequest[] methods = request.getMethodsToCall();
        long most = server.getConfig().getLimits().getMaxNodesPerMethodCall().longValue();
        if (methods == null || methods.length == 0 || methods.length > most) {
            counters.getCallCount().incrementErrorCount();
            counters.getTotalRequestCount().incrementErrorCount();
            return CompletableFuture.failedFuture(new UaException(
                    methods == null || methods.length == 0
                            ? StatusCodes.Bad_NothingToDo
                            : StatusCodes.Bad_TooManyOperations));
        }
        Caller caller = rights.caller(session);
        List<CompletableFuture<CallMethodResult>> results = new ArrayList<>();
        for (CallMethodRequest method : methods) {
            results.add(one(session, caller, method, request.getRequestHeader()));
        }
        return CompletableFuture.allOf(results.toArray(new CompletableFuture<?>[0]))
                .thenApply(done -> new CallResponse(
                        header(request.getRequestHeader()),
                        results.stream().map(CompletableFuture::join).toArray(CallMethodResult[]::new),
                        null));
    }

    private CompletableFuture<CallMethodResult> one(
            Session session, Caller caller, CallMethodRequest method, RequestHeader header) {
        if (!session.getCallSemaphore().tryAcquire()) {
            return CompletableFuture.completedFuture(result(StatusCodes.Bad_TooManyOperations));
        }
        CompletableFuture<CallMethodResult> outcome;
        try {
            CompletionStage<CallMethodResult> own =
                    side.call(new MethodCall(session, caller, method, header.getAuditEntryId()));
            outcome = own == null
                    ? CompletableFuture.completedFuture(ofTheLibrary(session, method, header))
                    : own.toCompletableFuture();
        } catch (RuntimeException e) {
            outcome = CompletableFuture.failedFuture(e);
        }
        return outcome.orTimeout(PATIENCE_SECONDS, TimeUnit.SECONDS)
                .exceptionally(fault -> {
                    LOG.errorf(fault, "GW-2701 the method %s failed", method.getMethodId());
                    return result(StatusCodes.Bad_Timeout);
                })
                .whenComplete((done, fault) -> session.getCallSemaphore().release());
    }

    private CallMethodResult ofTheLibrary(Session session, CallMethodRequest method, RequestHeader header) {
        AccessResult access = server.getAccessController()
                .checkCallAccess(session, List.of(method))
                .get(method);
        if (access instanceof AccessResult.Denied denied) {
            return new CallMethodResult(denied.statusCode(), null, null, null);
        }
        return server.getAddressSpaceManager()
                .call(
                        new CallContext(
                                server,
                                session,
                                new DiagnosticsContext<>(),
                                header.getAuditEntryId(),
                                header.getTimeoutHint(),
                                header.getAdditionalHeader()),
                        List.of(method))
                .get(0);
    }

    /** A method that was not carried out. */
    public static CallMethodResult result(long status) {
        return new CallMethodResult(new StatusCode(status), null, null, null);
    }

    private static ResponseHeader header(RequestHeader of) {
        return new ResponseHeader(DateTime.now(), of.getRequestHandle(), StatusCode.GOOD, null, null, null);
    }
}
