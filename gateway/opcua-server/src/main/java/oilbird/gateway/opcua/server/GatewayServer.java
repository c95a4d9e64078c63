package oilbird.gateway.opcua.server;

import java.util.List;
import java.util.function.Function;
import oilbird.gateway.opcua.server.event.EventDesk;
import oilbird.gateway.opcua.server.event.MethodDesk;
import oilbird.gateway.opcua.server.session.SessionDesk;
import org.eclipse.milo.opcua.sdk.server.EndpointConfig;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.OpcUaServerConfig;
import org.eclipse.milo.opcua.sdk.server.servicesets.Service;
import org.eclipse.milo.opcua.stack.core.types.structured.CallRequest;
import org.eclipse.milo.opcua.stack.core.util.EndpointUtil;
import org.eclipse.milo.opcua.stack.transport.server.OpcServerTransportFactory;

/** The library's server with some of its services replaced. */
final class GatewayServer extends OpcUaServer {
    GatewayServer(OpcUaServerConfig config, OpcServerTransportFactory transports) {
        super(config, transports);
    }

    /** Puts our own services in the place of the library's; before {@link #startup()}. */
    void take(EventDesk events, MethodDesk methods, SessionDesk sessions) {
        List<String> paths = getConfig().getEndpoints().stream()
                .map(EndpointConfig::getEndpointUrl)
                .map(EndpointUtil::getPath)
                .filter(path -> !path.endsWith("/discovery"))
                .distinct()
                .toList();
        for (String path : paths) {
            addServiceSet(path, events.services());
            addServiceSet(path, sessions.services());
            addServiceHandler(path, Service.METHOD_CALL, (AsyncServiceHandler) (context, request) ->
                    methods.call(context, (CallRequest) request).thenApply(Function.identity()));
        }
    }
}
