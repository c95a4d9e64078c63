package oilbird.gateway.opcua;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;

import java.net.InetAddress;
import java.net.ServerSocket;
import java.security.KeyPair;
import java.security.cert.X509Certificate;
import java.time.Instant;
import java.util.Date;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.bouncycastle.jce.provider.BouncyCastleProvider;
import org.eclipse.milo.opcua.sdk.core.Reference;
import org.eclipse.milo.opcua.sdk.server.EndpointConfig;
import org.eclipse.milo.opcua.sdk.server.ManagedNamespaceWithLifecycle;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.OpcUaServerConfig;
import org.eclipse.milo.opcua.sdk.server.OpcUaServerConfigLimits;
import org.eclipse.milo.opcua.sdk.server.Session;
import org.eclipse.milo.opcua.sdk.server.identity.AnonymousIdentityValidator;
import org.eclipse.milo.opcua.sdk.server.identity.CompositeValidator;
import org.eclipse.milo.opcua.sdk.server.identity.UsernameIdentityValidator;
import org.eclipse.milo.opcua.sdk.server.identity.X509IdentityValidator;
import org.eclipse.milo.opcua.sdk.server.items.DataItem;
import org.eclipse.milo.opcua.sdk.server.items.MonitoredItem;
import org.eclipse.milo.opcua.sdk.server.nodes.UaFolderNode;
import org.eclipse.milo.opcua.sdk.server.nodes.UaVariableNode;
import org.eclipse.milo.opcua.sdk.server.util.SubscriptionModel;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.security.DefaultApplicationGroup;
import org.eclipse.milo.opcua.stack.core.security.DefaultCertificateManager;
import org.eclipse.milo.opcua.stack.core.security.DefaultServerCertificateValidator;
import org.eclipse.milo.opcua.stack.core.security.MemoryCertificateQuarantine;
import org.eclipse.milo.opcua.stack.core.security.MemoryCertificateStore;
import org.eclipse.milo.opcua.stack.core.security.MemoryTrustListManager;
import org.eclipse.milo.opcua.stack.core.security.RsaSha256CertificateFactory;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.transport.TransportProfile;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MessageSecurityMode;
import org.eclipse.milo.opcua.stack.core.types.structured.BuildInfo;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateBuilder;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateGenerator;
import org.eclipse.milo.opcua.stack.transport.server.tcp.OpcTcpServerTransport;
import org.eclipse.milo.opcua.stack.transport.server.tcp.OpcTcpServerTransportConfig;
import org.jspecify.annotations.Nullable;

/** An OPC UA server as a monitor has one, for tests: made by the server side of the library. */
public final class MonitorServer implements AutoCloseable {
    public static final String NAMESPACE = "urn:windlow:test-monitor";
    public static final String USER = "oilbird";
    public static final String PASSWORD = "north gate 7";

    /** Keys are expensive; each test that needs another key makes one. */
    static final KeyPair KEYS = keys();

    private final Map<String, UaVariableNode> nodes = new LinkedHashMap<>();
    private final MemoryTrustListManager trusted = new MemoryTrustListManager();
    private final int port;
    private final OpcUaServer server;
    private final X509Certificate certificate;

    /**
     * How the server is set up.
     *
     * @param before namespaces that come before the monitor's own, so that its index is another.
     * @param subscriptions whether it takes any.
     * @param applicationUri in the certificate; another than the server's own makes the certificate wrong.
     */
    public record Setup(
            Set<SecurityPolicy> policies,
            MessageSecurityMode mode,
            List<String> before,
            boolean subscriptions,
            String applicationUri,
            KeyPair keys,
            Instant validUntil,
            String product,
            String firmware,
            @Nullable X509Certificate user) {
        static final String URI = "urn:windlow:test-monitor:server";

        public static Setup plain() {
            return new Setup(
                    Set.of(SecurityPolicy.None),
                    MessageSecurityMode.None,
                    List.of(),
                    true,
                    URI,
                    KEYS,
                    Instant.now().plusSeconds(86_400),
                    "MTM-2",
                    "3.1",
                    null);
        }

        public static Setup secured(SecurityPolicy... policies) {
            return plain().with(Set.of(policies), MessageSecurityMode.SignAndEncrypt);
        }

        Setup with(Set<SecurityPolicy> others, MessageSecurityMode otherMode) {
            return new Setup(
                    new LinkedHashSet<>(others),
                    otherMode,
                    before,
                    subscriptions,
                    applicationUri,
                    keys,
                    validUntil,
                    product,
                    firmware,
                    user);
        }

        public Setup withNamespacesBefore(String... uris) {
            return new Setup(
                    policies,
                    mode,
                    List.of(uris),
                    subscriptions,
                    applicationUri,
                    keys,
                    validUntil,
                    product,
                    firmware,
                    user);
        }

        Setup withoutSubscriptions() {
            return new Setup(policies, mode, before, false, applicationUri, keys, validUntil, product, firmware, user);
        }

        Setup withCertificate(String uri, KeyPair otherKeys, Instant until) {
            return new Setup(policies, mode, before, subscriptions, uri, otherKeys, until, product, firmware, user);
        }

        Setup withProduct(String otherProduct, String otherFirmware) {
            return new Setup(
                    policies,
                    mode,
                    before,
                    subscriptions,
                    applicationUri,
                    keys,
                    validUntil,
                    otherProduct,
                    otherFirmware,
                    user);
        }

        Setup withUser(X509Certificate certificate) {
            return new Setup(
                    policies,
                    mode,
                    before,
                    subscriptions,
                    applicationUri,
                    keys,
                    validUntil,
                    product,
                    firmware,
                    certificate);
        }
    }

    static KeyPair keys() {
        if (java.security.Security.getProvider(BouncyCastleProvider.PROVIDER_NAME) == null) {
            java.security.Security.addProvider(new BouncyCastleProvider());
        }
        try {
            return SelfSignedCertificateGenerator.generateRsaKeyPair(2048);
        } catch (Exception e) {
            throw new IllegalStateException(e);
        }
    }

    public static int freePort() {
        try (ServerSocket socket = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            return socket.getLocalPort();
        } catch (Exception e) {
            throw new IllegalStateException(e);
        }
    }

    public MonitorServer(Setup setup) throws Exception {
        this(setup, freePort());
    }

    public MonitorServer(Setup setup, int port) throws Exception {
        this.port = port;
        MemoryCertificateQuarantine quarantine = new MemoryCertificateQuarantine();
        RsaSha256CertificateFactory factory = new RsaSha256CertificateFactory() {
            @Override
            protected KeyPair createRsaSha256KeyPair() {
                return setup.keys();
            }

            @Override
            protected X509Certificate[] createRsaSha256CertificateChain(KeyPair keys) throws Exception {
                return new X509Certificate[] {certificate(keys, setup.applicationUri(), setup.validUntil())};
            }
        };
        DefaultApplicationGroup group = DefaultApplicationGroup.createAndInitialize(
                trusted,
                new MemoryCertificateStore(),
                factory,
                new DefaultServerCertificateValidator(trusted, quarantine));
        certificate = group.getCertificateChain(NodeIds.RsaSha256ApplicationCertificateType)
                .orElseThrow()[0];
        Set<EndpointConfig> endpoints = new LinkedHashSet<>();
        for (SecurityPolicy policy : setup.policies()) {
            endpoints.add(endpoint("/monitor", policy, setup.mode(), certificate));
        }
        endpoints.add(endpoint("/monitor/discovery", SecurityPolicy.None, MessageSecurityMode.None, null));
        server = new OpcUaServer(
                OpcUaServerConfig.builder()
                        .setApplicationName(LocalizedText.english("test monitor"))
                        .setApplicationUri(Setup.URI)
                        .setProductUri("urn:windlow:product")
                        .setBuildInfo(new BuildInfo(
                                "urn:windlow:product",
                                "Someone (invented)",
                                setup.product(),
                                setup.firmware(),
                                "1",
                                DateTime.now()))
                        .setEndpoints(endpoints)
                        .setLimits(new OpcUaServerConfigLimits() {
                            @Override
                            public UInteger getMaxSubscriptionsPerSession() {
                                return uint(setup.subscriptions() ? 10 : 0);
                            }
                        })
                        .setCertificateManager(new DefaultCertificateManager(quarantine, group))
                        .setIdentityValidator(new CompositeValidator(
                                AnonymousIdentityValidator.INSTANCE,
                                new UsernameIdentityValidator(
                                        challenge -> challenge.getUsername().equals(USER)
                                                && challenge.getPassword().equals(PASSWORD)),
                                new X509IdentityValidator(shown -> shown.equals(setup.user()))))
                        .build(),
                profile -> new OpcTcpServerTransport(
                        OpcTcpServerTransportConfig.newBuilder().build()));
        setup.before().forEach(uri -> server.getNamespaceTable().add(uri));
        Monitor monitor = new Monitor(server);
        monitor.startup();
        server.startup().get(20, TimeUnit.SECONDS);
    }

    private EndpointConfig endpoint(
            String path, SecurityPolicy policy, MessageSecurityMode mode, @Nullable X509Certificate certificate) {
        EndpointConfig.Builder builder = EndpointConfig.newBuilder()
                .setBindAddress("127.0.0.1")
                // A name that nobody can resolve, as monitors have them.
                .setHostname("monitor.invalid")
                .setBindPort(port)
                .setPath(path)
                .setTransportProfile(TransportProfile.TCP_UASC_UABINARY)
                .setSecurityPolicy(policy)
                .setSecurityMode(policy == SecurityPolicy.None ? MessageSecurityMode.None : mode)
                .addTokenPolicies(OpcUaServerConfig.USER_TOKEN_POLICY_ANONYMOUS)
                .addTokenPolicies(OpcUaServerConfig.USER_TOKEN_POLICY_USERNAME)
                .addTokenPolicies(OpcUaServerConfig.USER_TOKEN_POLICY_X509);
        if (certificate != null) {
            builder.setCertificate(certificate);
        }
        return builder.build();
    }

    static X509Certificate certificate(KeyPair keys, String uri, Instant until) throws Exception {
        return new SelfSignedCertificateGenerator()
                .generateSelfSigned(
                        keys,
                        Date.from(until.minusSeconds(30L * 86_400)),
                        Date.from(until),
                        "test monitor",
                        null,
                        null,
                        null,
                        null,
                        null,
                        uri,
                        List.of("localhost"),
                        List.of(),
                        SelfSignedCertificateBuilder.SA_SHA256_RSA);
    }

    public int port() {
        return port;
    }

    public String url() {
        return "opc.tcp://127.0.0.1:" + port + "/monitor";
    }

    public void trust(X509Certificate gateway) {
        trusted.addTrustedCertificate(gateway);
    }

    public X509Certificate certificate() {
        return certificate;
    }

    public int index() {
        return server.getNamespaceTable().getIndex(NAMESPACE).intValue();
    }

    public void set(String node, Object value) {
        set(node, new DataValue(new Variant(value), StatusCode.GOOD, DateTime.now()));
    }

    public void set(String node, DataValue value) {
        node(node).setValue(value);
    }

    private UaVariableNode node(String name) {
        UaVariableNode node = nodes.get(name);
        if (node == null) {
            throw new IllegalArgumentException(name);
        }
        return node;
    }

    int sessions() {
        return server.getSessionManager().getAllSessions().size();
    }

    /** Ends every session, as a monitor does that runs out of them. */
    public void dropSessions() {
        for (Session session : server.getSessionManager().getAllSessions()) {
            server.getSessionManager().killSession(session.getSessionId(), true);
        }
    }

    @Override
    public void close() throws Exception {
        server.shutdown().get(20, TimeUnit.SECONDS);
    }

    private final class Monitor extends ManagedNamespaceWithLifecycle {
        private final SubscriptionModel model;

        Monitor(OpcUaServer of) {
            super(of, NAMESPACE);
            model = new SubscriptionModel(of, this);
            getLifecycleManager().addLifecycle(model);
            getLifecycleManager().addStartupTask(this::build);
        }

        private void build() {
            UaFolderNode folder = new UaFolderNode(
                    getNodeContext(), newNodeId("Oil"), newQualifiedName("Oil"), LocalizedText.english("Oil"));
            getNodeManager().addNode(folder);
            folder.addReference(
                    new Reference(folder.getNodeId(), NodeIds.Organizes, NodeIds.ObjectsFolder.expanded(), false));
            add(folder, "Water", NodeIds.Double, 0.25);
            add(folder, "Temperature", NodeIds.Float, 40.5f);
            add(
                    folder,
                    "Status",
                    NodeIds.UInt16,
                    org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort.valueOf(0));
            add(folder, "Serial", NodeIds.String, "W 0001");
        }

        private void add(
                UaFolderNode folder,
                String name,
                org.eclipse.milo.opcua.stack.core.types.builtin.NodeId type,
                Object value) {
            UaVariableNode node = UaVariableNode.build(
                    getNodeContext(),
                    builder -> builder.setNodeId(newNodeId(name))
                            .setBrowseName(newQualifiedName(name))
                            .setDisplayName(LocalizedText.english(name))
                            .setDataType(type)
                            .setTypeDefinition(NodeIds.BaseDataVariableType)
                            .setValue(new DataValue(new Variant(value), StatusCode.GOOD, DateTime.now()))
                            .build());
            getNodeManager().addNode(node);
            folder.addOrganizes(node);
            nodes.put(name, node);
        }

        @Override
        public void onDataItemsCreated(List<DataItem> items) {
            model.onDataItemsCreated(items);
        }

        @Override
        public void onDataItemsModified(List<DataItem> items) {
            model.onDataItemsModified(items);
        }

        @Override
        public void onDataItemsDeleted(List<DataItem> items) {
            model.onDataItemsDeleted(items);
        }

        @Override
        public void onMonitoringModeChanged(List<MonitoredItem> items) {
            model.onMonitoringModeChanged(items);
        }
    }
}
