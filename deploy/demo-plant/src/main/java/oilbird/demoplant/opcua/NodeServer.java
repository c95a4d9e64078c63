package oilbird.demoplant.opcua;

import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.security.KeyPair;
import java.security.Security;
import java.security.cert.CertificateEncodingException;
import java.security.cert.X509Certificate;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.function.BooleanSupplier;
import java.util.function.LongSupplier;
import java.util.logging.Level;
import java.util.logging.Logger;
import oilbird.demoplant.device.Nameplate;
import oilbird.demoplant.device.NodeMonitor;
import oilbird.demoplant.wire.PortTaken;
import org.bouncycastle.jce.provider.BouncyCastleProvider;
import org.eclipse.milo.opcua.sdk.server.EndpointConfig;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.OpcUaServerConfig;
import org.eclipse.milo.opcua.sdk.server.identity.AnonymousIdentityValidator;
import org.eclipse.milo.opcua.sdk.server.identity.IdentityValidator;
import org.eclipse.milo.opcua.sdk.server.identity.UsernameIdentityValidator;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.security.CertificateManager;
import org.eclipse.milo.opcua.stack.core.security.DefaultApplicationGroup;
import org.eclipse.milo.opcua.stack.core.security.DefaultCertificateManager;
import org.eclipse.milo.opcua.stack.core.security.MemoryCertificateQuarantine;
import org.eclipse.milo.opcua.stack.core.security.MemoryCertificateStore;
import org.eclipse.milo.opcua.stack.core.security.MemoryTrustListManager;
import org.eclipse.milo.opcua.stack.core.security.RsaSha256CertificateFactory;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.transport.TransportProfile;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MessageSecurityMode;
import org.eclipse.milo.opcua.stack.core.types.structured.BuildInfo;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateBuilder;
import org.eclipse.milo.opcua.stack.transport.server.tcp.OpcTcpServerTransport;
import org.eclipse.milo.opcua.stack.transport.server.tcp.OpcTcpServerTransportConfig;
import org.jspecify.annotations.Nullable;

/** The OPC UA server of one monitor, on loopback only. Its certificate is made at its start. */
public final class NodeServer implements AutoCloseable {
    // Held here, because the logging system itself would forget a logger nobody holds. For each session the library
    // complains that its own model lacks a diagnostics node.
    private static final Logger TASKS = Logger.getLogger("org.eclipse.milo.opcua.stack.core.util.TaskQueue");

    private static final String LOOPBACK = "127.0.0.1";
    private static final long START_WITHIN_SECONDS = 60;
    private static final long STOP_WITHIN_SECONDS = 10;

    private final OpcUaServer server;
    private final NodeMonitor monitor;
    private final int port;
    private final @Nullable X509Certificate certificate;

    private NodeServer(OpcUaServer server, NodeMonitor monitor, int port, @Nullable X509Certificate certificate) {
        this.server = server;
        this.monitor = monitor;
        this.port = port;
        this.certificate = certificate;
    }

    /**
     * Whom a server lets in.
     *
     * @param user name that a client must give, or null where it takes anybody without encryption
     * @param password password of the user
     */
    public record Door(@Nullable String user, @Nullable String password) {
        /** No security policy, no name. */
        public static final Door OPEN = new Door(null, null);

        boolean isOpen() {
            return user == null;
        }
    }

    /**
     * Starts to listen.
     *
     * @param port 0 for any free port, see {@link #port()}
     * @param now plant time, milliseconds
     * @param startMillis wall time of plant time 0, milliseconds since 1970-01-01 UTC
     * @param silent whether the monitor is silent now
     */
    public static NodeServer start(
            NodeMonitor monitor, int port, Door door, LongSupplier now, long startMillis, BooleanSupplier silent)
            throws PortTaken {
        if (Security.getProvider(BouncyCastleProvider.PROVIDER_NAME) == null) {
            Security.addProvider(new BouncyCastleProvider()); // one of the security policies needs it
        }
        TASKS.setLevel(Level.SEVERE);
        int chosen = port == 0 ? freePort(monitor.name()) : port;
        requireFree(monitor.name(), chosen);
        String uri = "urn:windlow:" + monitor.name();
        DefaultApplicationGroup group = door.isOpen() ? null : group(uri);
        X509Certificate certificate = group == null
                ? null
                : group.getCertificateChain(NodeIds.RsaSha256ApplicationCertificateType)
                        .orElseThrow()[0];
        CertificateManager certificates = group == null
                ? new DefaultCertificateManager(new MemoryCertificateQuarantine())
                : new DefaultCertificateManager(new MemoryCertificateQuarantine(), group);
        Nameplate nameplate = monitor.nameplate(now.getAsLong());
        OpcUaServerConfig config = OpcUaServerConfig.builder()
                .setApplicationName(LocalizedText.english(monitor.name()))
                .setApplicationUri(uri)
                .setProductUri(monitor.namespace())
                .setBuildInfo(new BuildInfo(
                        monitor.namespace(),
                        nameplate.vendor(),
                        nameplate.product(),
                        nameplate.revision(),
                        "",
                        DateTime.MIN_DATE_TIME))
                .setEndpoints(endpoints(monitor, chosen, certificate))
                .setCertificateManager(certificates)
                .setIdentityValidator(identities(door))
                .build();
        OpcTcpServerTransportConfig transport = OpcTcpServerTransportConfig.newBuilder()
                .setChannelPipelineCustomizer(pipeline -> pipeline.addFirst(new SilenceGate(silent)))
                .build();
        OpcUaServer server = new OpcUaServer(config, profile -> new OpcTcpServerTransport(transport));
        try {
            server.startup().get(START_WITHIN_SECONDS, TimeUnit.SECONDS);
        } catch (ExecutionException failure) {
            Throwable cause = failure.getCause();
            throw new PortTaken(monitor.name(), chosen, cause == null ? failure : cause);
        } catch (TimeoutException failure) {
            throw new IllegalStateException(monitor.name() + " did not start within " + START_WITHIN_SECONDS + " s");
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
            throw new IllegalStateException("interrupted while starting " + monitor.name(), interrupted);
        }
        new Variables(server, monitor, new Variables.Now() {
                    @Override
                    public long plantMillis() {
                        return now.getAsLong();
                    }

                    @Override
                    public long wallMillis() {
                        return startMillis + now.getAsLong();
                    }
                })
                .startup();
        return new NodeServer(server, monitor, chosen, certificate);
    }

    public NodeMonitor monitor() {
        return monitor;
    }

    public int port() {
        return port;
    }

    /** The address that clients connect to. */
    public String endpoint() {
        return "opc.tcp://" + LOOPBACK + ":" + port + path(monitor);
    }

    /** Its certificate in DER, to be trusted by clients; null where it needs none. */
    public byte @Nullable [] certificate() {
        try {
            return certificate == null ? null : certificate.getEncoded();
        } catch (CertificateEncodingException failure) {
            throw new IllegalStateException("the certificate just made cannot be written", failure);
        }
    }

    @Override
    public void close() {
        try {
            server.shutdown().get(STOP_WITHIN_SECONDS, TimeUnit.SECONDS);
        } catch (ExecutionException | TimeoutException failure) {
            throw new IllegalStateException("cannot stop " + monitor.name(), failure);
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
        }
    }

    private static String path(NodeMonitor monitor) {
        return "/" + monitor.name();
    }

    private static Set<EndpointConfig> endpoints(NodeMonitor monitor, int port, @Nullable X509Certificate certificate) {
        Set<EndpointConfig> endpoints = new LinkedHashSet<>();
        if (certificate == null) {
            endpoints.add(endpoint(port, path(monitor), SecurityPolicy.None, MessageSecurityMode.None)
                    .addTokenPolicies(OpcUaServerConfig.USER_TOKEN_POLICY_ANONYMOUS)
                    .build());
            return endpoints;
        }
        for (SecurityPolicy policy : List.of(
                SecurityPolicy.Basic256Sha256,
                SecurityPolicy.Aes128_Sha256_RsaOaep,
                SecurityPolicy.Aes256_Sha256_RsaPss)) {
            for (MessageSecurityMode mode : List.of(MessageSecurityMode.Sign, MessageSecurityMode.SignAndEncrypt)) {
                endpoints.add(endpoint(port, path(monitor), policy, mode)
                        .setCertificate(certificate)
                        .addTokenPolicies(OpcUaServerConfig.USER_TOKEN_POLICY_USERNAME)
                        .build());
            }
        }
        // Part 4, 5.5.2: a client asks for the endpoints without security first.
        endpoints.add(endpoint(port, path(monitor) + "/discovery", SecurityPolicy.None, MessageSecurityMode.None)
                .build());
        return endpoints;
    }

    private static EndpointConfig.Builder endpoint(
            int port, String path, SecurityPolicy policy, MessageSecurityMode mode) {
        return EndpointConfig.newBuilder()
                .setBindAddress(LOOPBACK)
                .setHostname(LOOPBACK)
                .setBindPort(port)
                .setPath(path)
                .setTransportProfile(TransportProfile.TCP_UASC_UABINARY)
                .setSecurityPolicy(policy)
                .setSecurityMode(mode);
    }

    private static IdentityValidator identities(Door door) {
        if (door.isOpen()) {
            return AnonymousIdentityValidator.INSTANCE;
        }
        return new UsernameIdentityValidator(
                challenge -> challenge.getUsername().equals(door.user())
                        && challenge.getPassword().equals(door.password()));
    }

    /** Own key and certificate; whatever certificate a client shows is taken, since this is a demo on one machine. */
    private static DefaultApplicationGroup group(String uri) {
        RsaSha256CertificateFactory factory = new RsaSha256CertificateFactory() {
            @Override
            protected X509Certificate[] createRsaSha256CertificateChain(KeyPair keys) throws Exception {
                return new X509Certificate[] {
                    new SelfSignedCertificateBuilder(keys)
                            .setCommonName("Windlow demo monitor (invented)")
                            .setApplicationUri(uri)
                            .addDnsName("localhost")
                            .addIpAddress(LOOPBACK)
                            .build()
                };
            }
        };
        try {
            return DefaultApplicationGroup.createAndInitialize(
                    new MemoryTrustListManager(),
                    new MemoryCertificateStore(),
                    factory,
                    (chain, application, hosts) -> {});
        } catch (Exception failure) {
            throw new IllegalStateException("cannot make a certificate for " + uri, failure);
        }
    }

    private static int freePort(String name) throws PortTaken {
        try (ServerSocket socket = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            return socket.getLocalPort();
        } catch (IOException failure) {
            throw new PortTaken(name, 0, failure);
        }
    }

    /** The library binds late and reports badly; a taken port is told before. */
    private static void requireFree(String name, int port) throws PortTaken {
        try (ServerSocket probe = new ServerSocket(port, 1, InetAddress.getLoopbackAddress())) {
            if (probe.getLocalPort() != port) {
                throw new IllegalStateException("asked for port " + port + ", got " + probe.getLocalPort());
            }
        } catch (IOException failure) {
            throw new PortTaken(name, port, failure);
        }
    }
}
