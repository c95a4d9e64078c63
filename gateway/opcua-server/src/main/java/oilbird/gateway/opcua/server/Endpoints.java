package oilbird.gateway.opcua.server;

import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import oilbird.gateway.opcua.trust.OwnCertificate;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.gateway.station.OpcUaServerLinkSettings;
import org.eclipse.milo.opcua.sdk.server.EndpointConfig;
import org.eclipse.milo.opcua.sdk.server.OpcUaServerConfig;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.transport.TransportProfile;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MessageSecurityMode;

/** Where and how clients may connect, as the station file says it. */
final class Endpoints {
    /** Path of all addresses. */
    static final String PATH = "/oilbird";

    private Endpoints() {}

    static Set<EndpointConfig> of(OpcUaServerLinkSettings settings, OwnCertificate own) {
        Set<EndpointConfig> all = new LinkedHashSet<>();
        for (String host : settings.hosts()) {
            List<MessageSecurityMode> modes = new ArrayList<>(List.of(MessageSecurityMode.SignAndEncrypt));
            if (settings.signed()) {
                modes.add(MessageSecurityMode.Sign);
            }
            for (OpcUaEndpoint.Security policy : settings.policies()) {
                for (MessageSecurityMode mode : modes) {
                    all.add(endpoint(settings, host, PATH)
                            .setSecurityPolicy(policy(policy))
                            .setSecurityMode(mode)
                            .setCertificate(own.certificate())
                            .build());
                }
            }
            if (settings.unsecured() != null) {
                all.add(endpoint(settings, host, PATH)
                        .setSecurityPolicy(SecurityPolicy.None)
                        .setSecurityMode(MessageSecurityMode.None)
                        // So that a password can be encrypted where messages are not.
                        .setCertificate(own.certificate())
                        .build());
            }
            // Clients ask here without security how they may connect; nothing else is answered.
            all.add(endpoint(settings, host, PATH + "/discovery")
                    .setSecurityPolicy(SecurityPolicy.None)
                    .setSecurityMode(MessageSecurityMode.None)
                    .build());
        }
        return all;
    }

    private static EndpointConfig.Builder endpoint(OpcUaServerLinkSettings settings, String host, String path) {
        EndpointConfig.Builder builder = EndpointConfig.newBuilder()
                .setTransportProfile(TransportProfile.TCP_UASC_UABINARY)
                .setBindAddress(settings.bind())
                .setBindPort(settings.port())
                .setHostname(host)
                .setPath(path)
                .addTokenPolicies(OpcUaServerConfig.USER_TOKEN_POLICY_USERNAME);
        if (settings.anonymous()) {
            builder.addTokenPolicies(OpcUaServerConfig.USER_TOKEN_POLICY_ANONYMOUS);
        }
        return builder;
    }

    private static SecurityPolicy policy(OpcUaEndpoint.Security policy) {
        return switch (policy) {
            case NONE -> SecurityPolicy.None;
            case BASIC256SHA256 -> SecurityPolicy.Basic256Sha256;
            case AES128_SHA256_RSAOAEP -> SecurityPolicy.Aes128_Sha256_RsaOaep;
            case AES256_SHA256_RSAPSS -> SecurityPolicy.Aes256_Sha256_RsaPss;
        };
    }
}
