package oilbird.gateway.opcua;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.security.KeyStore;
import java.security.PrivateKey;
import java.security.Security;
import java.security.cert.X509Certificate;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.Future;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import oilbird.gateway.opcua.trust.OwnCertificate;
import oilbird.gateway.opcua.trust.ServerCheck;
import oilbird.gateway.opcua.trust.TrustFolder;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.NodeName;
import oilbird.mapping.address.NodeValue;
import oilbird.mapping.signal.QualityReason;
import org.bouncycastle.jce.provider.BouncyCastleProvider;
import org.eclipse.milo.opcua.sdk.client.DiscoveryClient;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.OpcUaClientConfig;
import org.eclipse.milo.opcua.sdk.client.OpcUaClientConfigBuilder;
import org.eclipse.milo.opcua.sdk.client.SessionActivityListener;
import org.eclipse.milo.opcua.sdk.client.UaSession;
import org.eclipse.milo.opcua.sdk.client.identity.AnonymousProvider;
import org.eclipse.milo.opcua.sdk.client.identity.IdentityProvider;
import org.eclipse.milo.opcua.sdk.client.identity.UsernameProvider;
import org.eclipse.milo.opcua.sdk.client.identity.X509IdentityProvider;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MessageSecurityMode;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.EndpointDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.ReadResponse;
import org.eclipse.milo.opcua.stack.core.types.structured.ReadValueId;
import org.eclipse.milo.opcua.stack.core.util.CertificateUtil;
import org.eclipse.milo.opcua.stack.core.util.EndpointUtil;

/** One session with a server, from finding its endpoint to closing it. Reads and subscribes; it has no words to write. */
final class ServerConnection implements AutoCloseable {
    /** Nodes in one read where the server states no limit. */
    private static final int NODES_PER_READ = 500;

    private static final Duration SESSION_TIMEOUT = Duration.ofMinutes(1);
    private static final Duration KEEP_ALIVE = Duration.ofMillis(2500);

    static {
        // Aes256_Sha256_RsaPss needs RSASSA-PSS in the form that this provider has.
        if (Security.getProvider(BouncyCastleProvider.PROVIDER_NAME) == null) {
            Security.addProvider(new BouncyCastleProvider());
        }
    }

    private final OpcUaClient client;
    private final Duration deadline;
    private final Namespaces namespaces;
    private final List<BlockSubscription> subscriptions = new ArrayList<>();
    private final int nodesPerRead;

    /** What came of an attempt to open a session. */
    sealed interface Opening {
        record Opened(ServerConnection connection) implements Opening {}

        /**
         * @param detail for the engineer.
         * @param lasting true where only a person can change it, so that trying often does harm or no good.
         */
        record NotOpened(QualityReason reason, Failure failure, String detail, boolean lasting) implements Opening {}
    }

    /** Why there is no session. */
    enum Failure {
        UNREACHABLE,
        SERVER_NOT_TRUSTED,
        GATEWAY_NOT_TRUSTED,
        USER_REFUSED,
        SECRET_MISSING,
        NO_SUCH_ENDPOINT
    }

    /** Told from the library's threads. */
    interface SessionListener {
        void sessionLost(String why);
    }

    private ServerConnection(OpcUaClient client, Duration deadline, Namespaces namespaces, int nodesPerRead) {
        this.client = client;
        this.deadline = deadline;
        this.namespaces = namespaces;
        this.nodesPerRead = nodesPerRead;
    }

    static Opening open(OpcUaEndpoint at, OwnCertificate own, ServerCheck check, Path secrets, SessionListener listener)
            throws InterruptedException {
        IdentityProvider identity;
        try {
            identity = identity(at.identity(), secrets, check);
        } catch (IOException e) {
            return new Opening.NotOpened(
                    QualityReason.UNREACHABLE, Failure.SECRET_MISSING, String.valueOf(e.getMessage()), false);
        }
        List<EndpointDescription> offered;
        try {
            offered = endpoints(at.url(), at.deadline());
        } catch (ExecutionException | TimeoutException e) {
            return unreachable(e);
        }
        String policy = SecurityPolicy.fromUriSafe("http://opcfoundation.org/UA/SecurityPolicy#"
                        + at.security().policy())
                .orElseThrow()
                .getUri();
        MessageSecurityMode mode = at.security() == OpcUaEndpoint.Security.NONE
                ? MessageSecurityMode.None
                : at.encrypted() ? MessageSecurityMode.SignAndEncrypt : MessageSecurityMode.Sign;
        Optional<EndpointDescription> found = offered.stream()
                .filter(e -> policy.equals(e.getSecurityPolicyUri()) && e.getSecurityMode() == mode)
                .findFirst();
        if (found.isEmpty()) {
            return new Opening.NotOpened(
                    QualityReason.REFUSED_BY_DEVICE,
                    Failure.NO_SUCH_ENDPOINT,
                    "the server does not offer " + at.security().policy() + " with " + mode + ", but " + shown(offered),
                    true);
        }
        // What the server calls itself may be a name or address that means nothing here.
        EndpointDescription endpoint =
                EndpointUtil.updateUrl(found.get(), EndpointUtil.getHost(at.url()), EndpointUtil.getPort(at.url()));
        // Without security the password may still be encrypted for the server's certificate.
        boolean needsTrust = mode != MessageSecurityMode.None
                || (at.identity() instanceof OpcUaEndpoint.UserName
                        && endpoint.getServerCertificate().isNotNull());
        if (needsTrust) {
            Optional<Opening> distrust = distrust(endpoint, check);
            if (distrust.isPresent()) {
                return distrust.get();
            }
        }
        return connect(at, endpoint, own, check, identity, listener);
    }

    private static IdentityProvider identity(OpcUaEndpoint.Identity identity, Path secrets, ServerCheck check)
            throws IOException {
        if (identity instanceof OpcUaEndpoint.UserName user) {
            return new UsernameProvider(
                    user.name(), user.password().read(secrets).get(0), check);
        }
        if (identity instanceof OpcUaEndpoint.UserCertificate user) {
            char[] password = user.password() == null
                    ? new char[0]
                    : user.password().read(secrets).get(0).toCharArray();
            Path file = secrets.resolve(user.file());
            try (InputStream in = Files.newInputStream(file)) {
                KeyStore store = KeyStore.getInstance("PKCS12");
                store.load(in, password);
                for (String alias : Collections.list(store.aliases())) {
                    if (store.getKey(alias, password) instanceof PrivateKey key
                            && store.getCertificate(alias) instanceof X509Certificate certificate) {
                        return new X509IdentityProvider(certificate, key);
                    }
                }
                throw new IOException("the file " + file + " holds no key with a certificate");
            } catch (GeneralSecurityException e) {
                throw new IOException("the file " + file + " cannot be used", e);
            }
        }
        return new AnonymousProvider();
    }

    static List<EndpointDescription> endpoints(String url, Duration deadline)
            throws ExecutionException, TimeoutException, InterruptedException {
        try {
            return discovered(url, deadline);
        } catch (ExecutionException e) {
            if (uaCause(e).isEmpty() || isNetwork(uaCause(e).get())) {
                throw e;
            }
            // Where the endpoint itself takes no unsecured question there may be one beside it that does:
            // OPC UA Part 6, 7.4, common practice.
            try {
                return discovered(url.replaceAll("/$", "") + "/discovery", deadline);
            } catch (ExecutionException noneEither) {
                throw e;
            }
        }
    }

    private static List<EndpointDescription> discovered(String url, Duration deadline)
            throws ExecutionException, TimeoutException, InterruptedException {
        CompletableFuture<List<EndpointDescription>> asked = DiscoveryClient.getEndpoints(
                url,
                transport -> transport
                        .setConnectTimeout(uint(deadline.toMillis()))
                        .setAcknowledgeTimeout(uint(deadline.toMillis())));
        return within(asked, deadline.multipliedBy(3));
    }

    private static Optional<Opening> distrust(EndpointDescription endpoint, ServerCheck check) {
        String applicationUri = endpoint.getServer().getApplicationUri();
        try {
            List<X509Certificate> chain = CertificateUtil.decodeCertificates(
                    endpoint.getServerCertificate().bytesOrEmpty());
            try {
                check.validateCertificateChain(chain, applicationUri, new String[0]);
                return Optional.empty();
            } catch (UaException e) {
                X509Certificate certificate = chain.get(0);
                return Optional.of(new Opening.NotOpened(
                        QualityReason.UNREACHABLE,
                        Failure.SERVER_NOT_TRUSTED,
                        "the server's certificate is not trusted (" + Values.name(e.getStatusCode()) + "): "
                                + certificate.getSubjectX500Principal().getName() + ", thumbprint "
                                + TrustFolder.thumbprint(certificate),
                        false));
            }
        } catch (UaException noCertificate) {
            return Optional.of(new Opening.NotOpened(
                    QualityReason.INVALID_ANSWER,
                    Failure.SERVER_NOT_TRUSTED,
                    "the server shows no certificate that can be read",
                    false));
        }
    }

    private static Opening connect(
            OpcUaEndpoint at,
            EndpointDescription endpoint,
            OwnCertificate own,
            ServerCheck check,
            IdentityProvider identity,
            SessionListener listener)
            throws InterruptedException {
        OpcUaClientConfigBuilder config = OpcUaClientConfig.builder()
                .setApplicationName(LocalizedText.english("Oilbird gateway"))
                .setApplicationUri(own.uri())
                .setProductUri("urn:oilbird:gateway")
                .setEndpoint(endpoint)
                .setKeyPair(own.keys())
                .setCertificate(own.certificate())
                .setCertificateChain(new X509Certificate[] {own.certificate()})
                .setCertificateValidator(check)
                .setIdentityProvider(identity)
                // The endpoint was chosen by policy and mode, and its address replaced.
                .setSessionEndpointValidationEnabled(false)
                .setSessionTimeout(uint(SESSION_TIMEOUT.toMillis()))
                .setRequestTimeout(uint(at.deadline().toMillis()))
                .setKeepAliveInterval(uint(KEEP_ALIVE.toMillis()))
                .setKeepAliveTimeout(uint(at.deadline().toMillis()))
                .setKeepAliveFailuresAllowed(uint(1));
        OpcUaClient client;
        try {
            client = OpcUaClient.create(
                    config.build(),
                    transport -> transport
                            .setConnectTimeout(uint(at.deadline().toMillis()))
                            .setAcknowledgeTimeout(uint(at.deadline().toMillis())));
        } catch (UaException e) {
            return refused(e);
        }
        boolean opened = false;
        try {
            within(client.connectAsync(), at.deadline().multipliedBy(3));
            DataValue array = within(
                            client.readValuesAsync(
                                    0, TimestampsToReturn.Neither, List.of(NodeIds.Server_NamespaceArray)),
                            at.deadline())
                    .get(0);
            String[] uris = array.value().value() instanceof String[] texts ? texts : new String[0];
            ServerConnection connection =
                    new ServerConnection(client, at.deadline(), new Namespaces(uris), nodesPerRead(client, at));
            client.addSessionActivityListener(new SessionActivityListener() {
                @Override
                public void onSessionInactive(UaSession session) {
                    listener.sessionLost("the session was lost");
                }
            });
            opened = true;
            return new Opening.Opened(connection);
        } catch (ExecutionException e) {
            return uaCause(e).map(ServerConnection::refused).orElseGet(() -> unreachable(e));
        } catch (TimeoutException e) {
            return unreachable(e);
        } finally {
            if (!opened) {
                // Otherwise the library goes on trying by itself.
                client.disconnectAsync();
            }
        }
    }

    private static int nodesPerRead(OpcUaClient client, OpcUaEndpoint at)
            throws ExecutionException, TimeoutException, InterruptedException {
        DataValue limit = within(
                        client.readValuesAsync(
                                0,
                                TimestampsToReturn.Neither,
                                List.of(NodeIds.Server_ServerCapabilities_OperationLimits_MaxNodesPerRead)),
                        at.deadline())
                .get(0);
        long stated = limit.value().value() instanceof Number number ? number.longValue() : 0;
        return stated > 0 && stated < NODES_PER_READ ? (int) stated : NODES_PER_READ;
    }

    private static Opening unreachable(Exception e) {
        String detail = e instanceof TimeoutException
                ? "no answer within the deadline"
                : uaCause(e)
                        .map(ua -> Values.name(ua.getStatusCode()))
                        .orElseGet(() -> String.valueOf(root(e).getMessage()));
        return new Opening.NotOpened(QualityReason.UNREACHABLE, Failure.UNREACHABLE, detail, false);
    }

    private static Opening refused(UaException e) {
        long code = e.getStatusCode().value();
        String name = Values.name(e.getStatusCode());
        if (code == StatusCodes.Bad_UserAccessDenied
                || code == StatusCodes.Bad_IdentityTokenRejected
                || code == StatusCodes.Bad_IdentityTokenInvalid) {
            return new Opening.NotOpened(
                    QualityReason.REFUSED_BY_DEVICE,
                    Failure.USER_REFUSED,
                    "the server refuses the user, password or user's certificate (" + name + ")",
                    true);
        }
        if (e.getStatusCode().isSecurityError()
                || code == StatusCodes.Bad_SecurityChecksFailed
                || name.startsWith("Bad_Certificate")) {
            return new Opening.NotOpened(
                    QualityReason.REFUSED_BY_DEVICE,
                    Failure.GATEWAY_NOT_TRUSTED,
                    "the server refuses the gateway's certificate or the security (" + name + ")",
                    false);
        }
        return new Opening.NotOpened(QualityReason.UNREACHABLE, Failure.UNREACHABLE, name, false);
    }

    private static boolean isNetwork(UaException e) {
        long code = e.getStatusCode().value();
        return code == StatusCodes.Bad_Timeout
                || code == StatusCodes.Bad_NotConnected
                || code == StatusCodes.Bad_ConnectionRejected;
    }

    private static String shown(List<EndpointDescription> offered) {
        return offered.isEmpty()
                ? "nothing at all"
                : String.join(
                        ", ",
                        offered.stream().map(ServerConnection::shown).distinct().toList());
    }

    /** For example {@code Basic256Sha256 with SignAndEncrypt}. */
    static String shown(EndpointDescription endpoint) {
        return String.valueOf(endpoint.getSecurityPolicyUri()).replaceFirst(".*#", "") + " with "
                + endpoint.getSecurityMode();
    }

    private static Optional<UaException> uaCause(Throwable of) {
        Optional<UaException> deepest = Optional.empty();
        for (Throwable cause = of; cause != null; cause = cause.getCause()) {
            if (cause instanceof UaException ua) {
                deepest = Optional.of(ua);
            }
        }
        return deepest;
    }

    private static Throwable root(Throwable of) {
        Throwable root = of;
        while (root.getCause() != null) {
            root = root.getCause();
        }
        return root;
    }

    /** Why an exchange failed, for the engineer. */
    static String detail(Exception e) {
        return e instanceof TimeoutException
                ? "no answer within the deadline"
                : uaCause(e)
                        .map(ua -> Values.name(ua.getStatusCode()))
                        .orElseGet(() -> String.valueOf(root(e).getMessage()));
    }

    static <T> T within(Future<T> future, Duration time)
            throws ExecutionException, TimeoutException, InterruptedException {
        try {
            return future.get(time.toMillis(), TimeUnit.MILLISECONDS);
        } catch (TimeoutException e) {
            future.cancel(false);
            throw e;
        }
    }

    /** Namespaces that the map names and this server does not have; complete when all nodes were asked for. */
    List<String> missingNamespaces() {
        return List.copyOf(new ArrayList<>(namespaces.missed()));
    }

    /**
     * The present values, as many and in the same order; {@code Bad_NodeIdUnknown} where the server has no such
     * namespace.
     */
    List<NodeValue> read(List<NodeName> names) throws ExecutionException, TimeoutException, InterruptedException {
        List<ReadValueId> asked = new ArrayList<>();
        List<Integer> places = new ArrayList<>();
        List<NodeValue> values = new ArrayList<>();
        for (NodeName name : names) {
            Optional<NodeId> id = namespaces.id(name);
            if (id.isPresent()) {
                asked.add(valueOf(id.get()));
                places.add(values.size());
            }
            values.add(Values.without(new StatusCode(StatusCodes.Bad_NodeIdUnknown)));
        }
        for (int from = 0; from < asked.size(); from += nodesPerRead) {
            int to = Math.min(asked.size(), from + nodesPerRead);
            ReadResponse response =
                    within(client.readAsync(0, TimestampsToReturn.Both, asked.subList(from, to)), deadline);
            DataValue[] results = response.getResults();
            if (results == null || results.length != to - from) {
                throw new ExecutionException(new UaException(
                        StatusCodes.Bad_UnexpectedError, "another number of values than was asked for"));
            }
            for (int i = from; i < to; i++) {
                values.set(places.get(i), Values.of(results[i - from]));
            }
        }
        return values;
    }

    static ReadValueId valueOf(NodeId id) {
        return new ReadValueId(id, AttributeId.Value.uid(), null, QualifiedName.NULL_VALUE);
    }

    /**
     * Asks the server to tell changes of a block.
     *
     * @throws ExecutionException if the session is of no use any more.
     */
    BlockSubscription.Taking subscribe(NodeBlock block, Duration period, BlockSubscription.Listener listener)
            throws ExecutionException, InterruptedException {
        BlockSubscription.Taking taking = BlockSubscription.take(client, namespaces, block, period, deadline, listener);
        if (taking instanceof BlockSubscription.Taking.Taken taken) {
            subscriptions.add(taken.subscription());
        }
        return taking;
    }

    Namespaces namespaces() {
        return namespaces;
    }

    /** For the walk through a server's nodes. */
    OpcUaClient client() {
        return client;
    }

    /** Ends the session without waiting for it. */
    @Override
    public void close() {
        subscriptions.clear();
        client.disconnectAsync();
    }

    /** Ends the session and waits a moment, so that the server does not keep it until its time-out. */
    void closeAndWait(Duration time) throws InterruptedException {
        try {
            within(client.disconnectAsync(), time);
        } catch (ExecutionException | TimeoutException gone) {
            // The server will find out.
        }
    }
}
