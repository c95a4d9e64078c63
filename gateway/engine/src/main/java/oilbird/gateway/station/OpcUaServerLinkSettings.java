package oilbird.gateway.station;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * A link that control-room systems connect to, as OPC UA clients, as the station file defines it.
 *
 * @param bind address of this machine to listen at.
 * @param hosts names or addresses under which clients reach the gateway, at least one; also in its certificate.
 * @param policies security policies that are offered; never {@link OpcUaEndpoint.Security#NONE}.
 * @param signed whether messages may be signed only, besides signed and encrypted.
 * @param unsecured why a client may also connect without any security; null where none may.
 * @param anonymous whether a client that names no user may look.
 */
public record OpcUaServerLinkSettings(
        String id,
        String name,
        String bind,
        int port,
        List<String> hosts,
        List<OpcUaEndpoint.Security> policies,
        boolean signed,
        @Nullable String unsecured,
        boolean anonymous,
        Limits limits)
        implements LinkSettings {
    public OpcUaServerLinkSettings {
        hosts = List.copyOf(hosts);
        policies = List.copyOf(policies);
    }

    /**
     * What all clients together may take, and one of them.
     *
     * @param sessions of all clients.
     * @param subscriptions of all clients.
     * @param items monitored items of one session.
     */
    public record Limits(int sessions, int subscriptions, int items) {
        public static final Limits DEFAULT = new Limits(20, 100, 20_000);
    }

    @Override
    public String kind() {
        return "opc-ua-server";
    }
}
