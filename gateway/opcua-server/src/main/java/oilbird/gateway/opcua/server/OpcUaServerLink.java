package oilbird.gateway.opcua.server;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ubyte;
import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;

import io.netty.channel.EventLoopGroup;
import io.netty.channel.nio.NioEventLoopGroup;
import java.io.IOException;
import java.nio.file.Path;
import java.security.Security;
import java.security.cert.X509Certificate;
import java.time.Instant;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.ScheduledThreadPoolExecutor;
import java.util.concurrent.ThreadFactory;
import java.util.concurrent.ThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.concurrent.atomic.AtomicInteger;
import oilbird.gateway.access.Access;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.UnsendableException;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.opcua.server.condition.Conditions;
import oilbird.gateway.opcua.server.event.EventDesk;
import oilbird.gateway.opcua.server.event.EventQueues;
import oilbird.gateway.opcua.server.event.EventSide;
import oilbird.gateway.opcua.server.event.MethodDesk;
import oilbird.gateway.opcua.server.history.EventHistory;
import oilbird.gateway.opcua.server.session.Connections;
import oilbird.gateway.opcua.server.session.Rights;
import oilbird.gateway.opcua.server.session.ServerLimits;
import oilbird.gateway.opcua.server.session.SessionDesk;
import oilbird.gateway.opcua.server.session.Users;
import oilbird.gateway.opcua.server.space.Names;
import oilbird.gateway.opcua.server.space.StationSpace;
import oilbird.gateway.opcua.trust.ClientCheck;
import oilbird.gateway.opcua.trust.OwnCertificate;
import oilbird.gateway.opcua.trust.TrustFolder;
import oilbird.gateway.opcua.trust.TrustLists;
import oilbird.gateway.station.OpcUaServerLinkSettings;
import org.bouncycastle.jce.provider.BouncyCastleProvider;
import org.eclipse.milo.opcua.sdk.server.ManagedNamespaceWithLifecycle;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.OpcUaServerConfig;
import org.eclipse.milo.opcua.sdk.server.items.DataItem;
import org.eclipse.milo.opcua.sdk.server.items.MonitoredItem;
import org.eclipse.milo.opcua.sdk.server.model.objects.ServerTypeNode;
import org.eclipse.milo.opcua.sdk.server.util.SubscriptionModel;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.security.DefaultCertificateManager;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.structured.BuildInfo;
import org.eclipse.milo.opcua.stack.transport.server.tcp.OpcTcpServerTransport;
import org.eclipse.milo.opcua.stack.transport.server.tcp.OpcTcpServerTransportConfig;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * The link to control-room systems that connect as OPC UA clients. Opening it starts the server; an event is confirmed
 * when it lies in the queues of all clients that watch, since no client can confirm more than a publish.
 */
public final class OpcUaServerLink implements Link {
    /** Folder in the data folder with the server's certificate and the clients that it trusts. */
    public static final String FOLDER = "opc-ua-server";

    private static final Logger LOG = Logger.getLogger(OpcUaServerLink.class);
    private static final int THREADS = 8;
    private static final int WAITING = 10_000;
    /** How long a connection may say nothing at all. */
    private static final int HELLO_MILLIS = 3_000;

    private static final long SAMPLE_MILLIS = 100;
    private static final long SWEEP_SECONDS = 1;
    private static final long START_SECONDS = 30;
    private static final int SET_ASIDE_TOLD = 100;

    private final OpcUaServerLinkSettings settings;
    private final ServerParts parts;
    private volatile @Nullable Running running;

    public OpcUaServerLink(OpcUaServerLinkSettings settings, ServerParts parts) {
        this.settings = settings;
        this.parts = parts;
    }

    @Override
    public String id() {
        return settings.id();
    }

    @Override
    public void open() throws IOException {
        if (running != null) {
            return;
        }
        Access access;
        try {
            access = parts.access().get(START_SECONDS, TimeUnit.SECONDS);
        } catch (ExecutionException | TimeoutException e) {
            throw new IOException("the gateway does not know yet who may do what", e);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            throw new IOException("interrupted while starting", e);
        }
        running = new Running(access);
        LOG.infof(
                "GW-2700 link %s: OPC UA server at opc.tcp://%s:%d%s",
                settings.id(), settings.hosts().get(0), settings.port(), Endpoints.PATH);
    }

    @Override
    public CompletionStage<Void> send(RecordedEvent event) throws IOException {
        Running now = running;
        if (now == null) {
            throw new IOException("the server is not running");
        }
        try {
            now.side.happened(event);
            return CompletableFuture.completedFuture(null);
        } catch (RuntimeException e) {
            LOG.errorf(
                    e,
                    "GW-2702 link %s could not show event %s",
                    settings.id(),
                    event.event().id());
            return CompletableFuture.failedFuture(new UnsendableException("it cannot be shown: " + e));
        }
    }

    @Override
    public boolean isOpen() {
        return running != null;
    }

    @Override
    public boolean keepsOrder() {
        return true;
    }

    @Override
    public void close() {
        Running last = running;
        running = null;
        if (last != null) {
            last.close();
        }
    }

    /**
     * What clients take of the server now.
     *
     * @param connections TCP connections.
     * @param items monitored items of all subscriptions.
     * @param watches those of them that watch events.
     */
    public record Load(int connections, int sessions, int subscriptions, long items, int watches) {}

    /** Nothing while the server does not run. */
    public Load load() {
        Running now = running;
        return now == null
                ? new Load(0, 0, 0, 0, 0)
                : new Load(
                        now.connections.count(),
                        now.server.getSessionManager().getAllSessions().size(),
                        now.server.getSubscriptions().size(),
                        now.server.getMonitoredItemCount().get(),
                        now.events.count());
    }

    /** A server that runs, with everything that ends with it. */
    private final class Running {
        final EventSide side;
        private final GatewayServer server;
        private final ThreadPoolExecutor executor;
        private final ScheduledThreadPoolExecutor timer;
        private final EventLoopGroup sockets;
        private final Types types;
        private final EventDesk events;
        private final Connections connections = new Connections(settings.limits());
        private final Set<String> toldSetAside = new HashSet<>();

        Running(Access access) throws IOException {
            if (Security.getProvider(BouncyCastleProvider.PROVIDER_NAME) == null) {
                // Aes256_Sha256_RsaPss is not to be had otherwise.
                Security.addProvider(new BouncyCastleProvider());
            }
            Path folder = parts.data().resolve(FOLDER);
            OwnCertificate own = OwnCertificate.ofServer(
                    folder, parts.station().model().facts().gateway(), settings.hosts(), Instant.now());
            executor = new ThreadPoolExecutor(
                    THREADS,
                    THREADS,
                    30,
                    TimeUnit.SECONDS,
                    new LinkedBlockingQueue<>(WAITING),
                    named("opc-ua-server"),
                    // Whoever reads requests from the sockets waits, and so do those who send them.
                    new ThreadPoolExecutor.CallerRunsPolicy());
            executor.allowCoreThreadTimeOut(true);
            timer = new ScheduledThreadPoolExecutor(1, named("opc-ua-server-timer"));
            timer.setRemoveOnCancelPolicy(true);
            sockets = new NioEventLoopGroup(1, named("opc-ua-server-io"));
            TrustLists lists = new TrustLists(new TrustFolder(folder));
            ClientCheck check = new ClientCheck(
                    new TrustFolder(folder), () -> parts.clock().now().wallTrusted(), this::tellSetAside);
            Rights rights = new Rights(access, settings.anonymous());
            Users users = new Users(access, rights, settings.anonymous());
            OpcUaServerConfig config = OpcUaServerConfig.builder()
                    .setApplicationName(LocalizedText.english(
                            "Oilbird gateway " + parts.station().model().facts().gateway()))
                    .setApplicationUri(own.uri())
                    .setProductUri("urn:oilbird:gateway")
                    .setBuildInfo(new BuildInfo(
                            "urn:oilbird:gateway", "Oilbird", "Oilbird gateway", "0.1", "0.1", DateTime.MIN_VALUE))
                    .setEndpoints(Endpoints.of(settings, own))
                    .setLimits(new ServerLimits(settings.limits()))
                    .setCertificateManager(
                            new DefaultCertificateManager(lists, Set.of(new OwnGroup(own, lists, check))))
                    .setIdentityValidator(users)
                    .setExecutor(executor)
                    .setScheduledExecutor(timer)
                    .build();
            server = new GatewayServer(
                    config,
                    profile -> new OpcTcpServerTransport(OpcTcpServerTransportConfig.newBuilder()
                            .setExecutor(executor)
                            .setEventLoop(sockets)
                            .setHelloDeadline(uint(HELLO_MILLIS))
                            .setChannelPipelineCustomizer(connections::on)
                            .build()));
            types = new Types(server);
            types.startup();
            String stationId = parts.station().model().facts().id();
            server.getNamespaceTable().add(Names.stationUri(stationId));
            server.getNamespaceTable().add(Names.pointsUri(stationId));
            Names names = Names.of(server.getNamespaceTable(), stationId);
            Conditions conditions =
                    Conditions.open(new Side(server, names, types.getNodeContext(), rights, parts, settings.id()));
            side = conditions;
            EventHistory history = new EventHistory(parts.past(), side, server.getStaticEncodingContext());
            StationSpace space =
                    new StationSpace(server, names, parts.station(), parts.points(), parts.committed(), history::read);
            events = new EventDesk(server, side, EventQueues.DEFAULT);
            SessionDesk sessions = new SessionDesk(server, access, users, rights, System::nanoTime);
            server.take(events, new MethodDesk(server, side, rights), sessions);
            server.getAddressSpaceManager().registerFirst(space);
            server.getAddressSpaceManager().registerFirst(events.items());
            server.getAddressSpaceManager().getManagedNode(NodeIds.Server).ifPresent(node -> {
                ServerTypeNode object = (ServerTypeNode) node;
                object.setEventNotifier(ubyte(1));
                object.setAuditing(true);
            });
            boolean started = false;
            try {
                server.startup().get(START_SECONDS, TimeUnit.SECONDS);
                started = true;
            } catch (ExecutionException | TimeoutException e) {
                throw new IOException(
                        "nothing can be opened at " + settings.bind() + ":" + settings.port()
                                + "; is another program listening there?",
                        e);
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
                throw new IOException("interrupted while starting", e);
            } finally {
                if (!started) {
                    close();
                }
            }
            timer.scheduleWithFixedDelay(
                    guarded(() -> executor.execute(guarded(space::sample))),
                    SAMPLE_MILLIS,
                    SAMPLE_MILLIS,
                    TimeUnit.MILLISECONDS);
            timer.scheduleWithFixedDelay(
                    guarded(() -> executor.execute(guarded(sessions::sweep))),
                    SWEEP_SECONDS,
                    SWEEP_SECONDS,
                    TimeUnit.SECONDS);
        }

        /** Once for each certificate: a client that is turned away tries again and again. */
        private void tellSetAside(X509Certificate certificate, UaException why) {
            String thumbprint = TrustFolder.thumbprint(certificate);
            synchronized (toldSetAside) {
                if (toldSetAside.size() >= SET_ASIDE_TOLD || !toldSetAside.add(thumbprint)) {
                    return;
                }
            }
            LOG.warnf(
                    "GW-2703 link %s: the certificate of a client is not trusted (%s): %s, thumbprint %s; if it is the"
                            + " control room's, accept it with `oilbird trust DATA clients accept %s`",
                    settings.id(),
                    StatusCodes.lookup(why.getStatusCode().value())
                            .map(name -> name[0])
                            .orElse("refused"),
                    certificate.getSubjectX500Principal().getName(),
                    thumbprint,
                    thumbprint.substring(0, 8));
        }

        private Runnable guarded(Runnable turn) {
            return () -> {
                try {
                    turn.run();
                } catch (RuntimeException e) {
                    LOG.errorf(e, "GW-2704 link %s met a fault and goes on", settings.id());
                }
            };
        }

        void close() {
            side.close();
            timer.shutdownNow();
            try {
                server.shutdown().get(2, TimeUnit.SECONDS);
            } catch (ExecutionException | TimeoutException e) {
                LOG.warnf("GW-2705 link %s did not end in order: %s", settings.id(), e.getMessage());
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
            }
            types.shutdown();
            executor.shutdownNow();
            sockets.shutdownGracefully(0, 1, TimeUnit.SECONDS);
        }
    }

    private static ThreadFactory named(String name) {
        AtomicInteger number = new AtomicInteger();
        return work -> {
            Thread thread = new Thread(work, name + "-" + number.getAndIncrement());
            thread.setDaemon(true);
            return thread;
        };
    }

    /** The namespace of our own types, whose few nodes the library keeps. */
    private static final class Types extends ManagedNamespaceWithLifecycle {
        private final SubscriptionModel model;

        Types(OpcUaServer server) {
            super(server, Names.TYPES);
            model = new SubscriptionModel(server, this);
            getLifecycleManager().addLifecycle(model);
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
