package oilbird.gateway.opcua.server;

import oilbird.gateway.opcua.server.session.Rights;
import oilbird.gateway.opcua.server.space.Names;
import oilbird.gateway.opcua.server.space.StationSpace;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.nodes.UaNodeContext;

/**
 * A server that is about to take connections, for whoever raises its events.
 *
 * @param types where nodes of the types' namespace are made.
 */
public record ServerContext(OpcUaServer server, Names names, UaNodeContext types, StationSpace space, Rights rights) {}
