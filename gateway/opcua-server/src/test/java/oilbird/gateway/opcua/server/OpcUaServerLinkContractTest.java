package oilbird.gateway.opcua.server;

import static java.util.Objects.requireNonNull;

import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.AccessRules;
import oilbird.gateway.access.AccountStore;
import oilbird.gateway.access.PasswordHash;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.contract.LinkContract;
import oilbird.gateway.engine.outbox.contract.Peer;
import oilbird.gateway.engine.outbox.contract.Surroundings;
import oilbird.gateway.engine.outbox.contract.Wire;
import oilbird.gateway.opcua.server.space.Names;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.points.PointList;
import oilbird.gateway.station.OpcUaServerLinkSettings;
import oilbird.gateway.station.Station;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.SessionActivityListener;
import org.eclipse.milo.opcua.sdk.client.UaSession;
import org.eclipse.milo.opcua.sdk.client.identity.UsernameProvider;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaMonitoredItem;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaSubscription;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.HistoryEvent;
import org.eclipse.milo.opcua.stack.core.types.structured.HistoryReadResult;
import org.eclipse.milo.opcua.stack.core.types.structured.HistoryReadValueId;
import org.eclipse.milo.opcua.stack.core.types.structured.ReadEventDetails;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;
import org.eclipse.milo.opcua.stack.core.util.EndpointUtil;
import org.jspecify.annotations.Nullable;

/**
 * The contract of links against the library's own client, as a control-room system is built: it watches the station,
 * and when it comes back it reads from the history what it has missed.
 */
class OpcUaServerLinkContractTest extends LinkContract {
    @Override
    protected Peer peer() throws Exception {
        return new ClientPeer(ServerRig.freePort());
    }

    private static final class ClientPeer implements Peer {
        private static final List<String> STANDARD = List.of(
                "EventId",
                "Time",
                "ActiveState/Id",
                "AckedState/Id",
                "ShelvingState/CurrentState/Id",
                "OutOfServiceState/Id",
                "Quality",
                "Comment");
        private static final List<String> OWN = List.of("EventIdText", "UnderTest");

        private final int port;
        private final Wire wire;
        private final List<Arrival> arrivals = new ArrayList<>();
        private final Map<AlarmId, Picture> pictures = new LinkedHashMap<>();
        private final Map<AlarmId, ByteString> newest = new LinkedHashMap<>();
        private List<Variant[]> early = new ArrayList<>();
        private boolean live;
        private long lastSeen = Instant.now().minusSeconds(60).toEpochMilli();
        private @Nullable OpcUaClient client;
        private @Nullable Names names;
        private @Nullable CompletableFuture<Void> connecting;

        ClientPeer(int port) throws Exception {
            this.port = port;
            this.wire = new Wire(port);
        }

        @Override
        public Link link(Surroundings around) throws Exception {
            Path data = around.data();
            AccountStore store = new AccountStore(data);
            store.change(a -> a.add(
                    ServerRig.OPERATOR,
                    "operator",
                    PasswordHash.of(ServerRig.PASSWORD),
                    false,
                    Kind.USER_ADDED,
                    ServerRig.hand()));
            Access access = new Access(
                    store, AccessRules.DEFAULT, System::nanoTime, Instant::now, (k, about, by, from, text, n) -> {});
            if (connecting == null) {
                connecting = CompletableFuture.runAsync(this::connectUntilItWorks);
            }
            return new OpcUaServerLink(
                    new OpcUaServerLinkSettings(
                            around.link(),
                            "control room",
                            "127.0.0.1",
                            port,
                            List.of("127.0.0.1"),
                            List.of(),
                            false,
                            "closed network of a test",
                            false,
                            OpcUaServerLinkSettings.Limits.DEFAULT),
                    new ServerParts(
                            new Station("Fenmarch Electric", around.model(), List.of(), List.of(), AccessRules.DEFAULT),
                            data,
                            CompletableFuture.completedFuture(access),
                            around.view(),
                            around.view(),
                            around.acts(),
                            around.forms(),
                            ServerParts.past(around.record()),
                            new PointFeed(
                                    PointList.byDefault(around.model().facts()),
                                    around.model().facts(),
                                    around.view(),
                                    around.clock()::now),
                            around.clock()));
        }

        private void connectUntilItWorks() {
            for (int i = 0; ; i++) {
                try {
                    connect();
                    return;
                } catch (Exception e) {
                    if (i > 100) {
                        throw new IllegalStateException(e);
                    }
                    CompletableFuture.runAsync(() -> {}, CompletableFuture.delayedExecutor(200, TimeUnit.MILLISECONDS))
                            .join();
                }
            }
        }

        private void connect() throws Exception {
            OpcUaClient next = OpcUaClient.create(
                    "opc.tcp://127.0.0.1:" + wire.port() + Endpoints.PATH,
                    offered -> offered.stream()
                            .filter(e -> SecurityPolicy.None.getUri().equals(e.getSecurityPolicyUri()))
                            .findFirst()
                            .map(e -> EndpointUtil.updateUrl(e, "127.0.0.1", wire.port())),
                    transport -> {},
                    config -> config.setIdentityProvider(new UsernameProvider(ServerRig.OPERATOR, ServerRig.PASSWORD))
                            .setSessionEndpointValidationEnabled(false)
                            .setKeepAliveInterval(UInteger.valueOf(500))
                            .setKeepAliveTimeout(UInteger.valueOf(2_000)));
            boolean done = false;
            try {
                next.connect();
                Names found = Names.of(next.getNamespaceTable(), "windlow");
                synchronized (this) {
                    names = found;
                    live = false;
                    early = new ArrayList<>();
                }
                EventFilter filter = new EventFilter(select(found), new ContentFilter(new ContentFilterElement[0]));
                OpcUaSubscription subscription = new OpcUaSubscription(next);
                subscription.setPublishingInterval(50.0);
                subscription.setSubscriptionListener(new OpcUaSubscription.SubscriptionListener() {
                    @Override
                    public void onTransferFailed(OpcUaSubscription of, StatusCode status) {
                        // The server was started anew, or kept it no longer.
                        CompletableFuture.runAsync(() -> again(next));
                    }
                });
                subscription.create();
                OpcUaMonitoredItem item = OpcUaMonitoredItem.newEventItem(found.ofStation(), filter);
                item.setQueueSize(UInteger.valueOf(10_000));
                item.setEventValueListener((i, values) -> came(next, values));
                subscription.addMonitoredItem(item);
                subscription.synchronizeMonitoredItems();
                catchUp(next, filter, found);
                next.addSessionActivityListener(new SessionActivityListener() {
                    @Override
                    public void onSessionInactive(UaSession session) {
                        hold();
                    }

                    @Override
                    public void onSessionActive(UaSession session) {
                        // What was on its way when the line broke may be lost, and the history has it.
                        hold();
                        CompletableFuture.runAsync(() -> catchUpAgain(next, filter, found));
                    }
                });
                client = next;
                done = true;
            } finally {
                if (!done) {
                    next.disconnectAsync();
                }
            }
        }

        private synchronized void hold() {
            live = false;
        }

        private void catchUpAgain(OpcUaClient next, EventFilter filter, Names found) {
            try {
                catchUp(next, filter, found);
            } catch (UaException e) {
                again(next);
            }
        }

        private void again(OpcUaClient lost) {
            if (client == lost) {
                client = null;
                lost.disconnectAsync();
                connectUntilItWorks();
            }
        }

        private void catchUp(OpcUaClient next, EventFilter filter, Names found) throws UaException {
            ByteString point = ByteString.NULL_VALUE;
            List<Variant[]> missed = new ArrayList<>();
            do {
                HistoryReadResult page = requireNonNull(next.historyRead(
                                new ReadEventDetails(
                                        UInteger.valueOf(100),
                                        new DateTime(Instant.ofEpochMilli(lastSeen - 1_000)),
                                        new DateTime(Instant.now().plusSeconds(3_600)),
                                        filter),
                                TimestampsToReturn.Neither,
                                false,
                                List.of(new HistoryReadValueId(
                                        found.ofStation(), null, QualifiedName.NULL_VALUE, point)))
                        .getResults())[0];
                if (page.getStatusCode().isBad()) {
                    throw new UaException(page.getStatusCode());
                }
                HistoryEvent events =
                        (HistoryEvent) requireNonNull(page.getHistoryData()).decode(next.getStaticEncodingContext());
                Arrays.stream(requireNonNull(events.getEvents()))
                        .forEach(e -> missed.add(requireNonNull(e.getEventFields())));
                point = page.getContinuationPoint();
            } while (point != null && point.isNotNull());
            synchronized (this) {
                missed.forEach(this::take);
                early.forEach(this::take);
                early = new ArrayList<>();
                live = true;
            }
        }

        private static SimpleAttributeOperand[] select(Names of) {
            List<SimpleAttributeOperand> all = new ArrayList<>();
            all.add(new SimpleAttributeOperand(
                    NodeIds.ConditionType, new QualifiedName[0], AttributeId.NodeId.uid(), null));
            STANDARD.forEach(path -> all.add(value(Arrays.stream(path.split("/"))
                    .map(p -> new QualifiedName(0, p))
                    .toArray(QualifiedName[]::new))));
            OWN.forEach(name -> all.add(value(of.typeName(name))));
            return all.toArray(SimpleAttributeOperand[]::new);
        }

        private static SimpleAttributeOperand value(QualifiedName... path) {
            return new SimpleAttributeOperand(NodeIds.BaseEventType, path, AttributeId.Value.uid(), null);
        }

        private synchronized void came(OpcUaClient through, Variant[] values) {
            if (live) {
                take(values);
            } else {
                early.add(values);
            }
        }

        private synchronized void take(Variant[] values) {
            if (!(values[0].value() instanceof NodeId condition)
                    || !String.valueOf(condition.getIdentifier()).startsWith("alarm/tx-1/")) {
                return;
            }
            String text = String.valueOf(condition.getIdentifier());
            AlarmId alarm = new AlarmId("tx-1", text.substring("alarm/tx-1/".length()));
            String eventId = String.valueOf(values[9].value());
            if (arrivals.stream().anyMatch(a -> a.eventId().equals(eventId))) {
                // Read from the history and told besides.
                return;
            }
            Picture before = pictures.get(alarm);
            Picture now = new Picture(
                    Boolean.TRUE.equals(values[3].value()),
                    Boolean.TRUE.equals(values[4].value()),
                    !NodeIds.ShelvedStateMachineType_Unshelved.equals(values[5].value()),
                    Boolean.TRUE.equals(values[10].value()),
                    !(values[7].value() instanceof StatusCode quality) || !quality.isGood());
            pictures.put(alarm, now);
            newest.put(alarm, requireNonNull((ByteString) values[1].value()));
            lastSeen = Math.max(
                    lastSeen, requireNonNull((DateTime) values[2].value()).getJavaTime());
            arrivals.add(new Arrival(eventId, alarm, kind(before, now), now.test(), now.doubtful()));
        }

        /** What a client makes of two states: the events themselves say states, not what has changed. */
        private static String kind(@Nullable Picture before, Picture now) {
            if ((before == null || !before.active()) && now.active()) {
                return "raised";
            }
            if (before == null) {
                return "other";
            }
            return before.active() && !now.active()
                    ? "returned"
                    : !before.acknowledged() && now.acknowledged()
                            ? "acknowledged"
                            : before.shelved() != now.shelved() ? now.shelved() ? "shelved" : "unshelved" : "other";
        }

        @Override
        public synchronized List<Arrival> arrivals() {
            return List.copyOf(arrivals);
        }

        @Override
        public synchronized Optional<Picture> picture(AlarmId alarm) {
            return Optional.ofNullable(pictures.get(alarm));
        }

        @Override
        public boolean acknowledge(AlarmId alarm, String eventId, String comment) throws Exception {
            StatusCode status = requireNonNull(requireNonNull(client)
                            .call(List.of(new CallMethodRequest(
                                    requireNonNull(names).ofCondition(alarm),
                                    NodeIds.AcknowledgeableConditionType_Acknowledge,
                                    new Variant[] {
                                        new Variant(newest.get(alarm)), new Variant(LocalizedText.english(comment))
                                    })))
                            .getResults())[0]
                    .getStatusCode();
            if (status.isBad()) {
                throw new IllegalStateException(status.toString());
            }
            return true;
        }

        @Override
        public void stop() throws Exception {
            requireNonNull(connecting).join();
            OpcUaClient gone = requireNonNull(client);
            client = null;
            wire.silent(true);
            gone.disconnectAsync();
        }

        @Override
        public void startAgain() throws Exception {
            wire.silent(false);
            connecting = CompletableFuture.runAsync(this::connectUntilItWorks);
        }

        @Override
        public void fallSilent() throws Exception {
            requireNonNull(connecting).join();
            wire.silent(true);
        }

        @Override
        public void answerAgain() throws Exception {
            wire.silent(false);
        }

        /** A server sees no client that says nothing before its session is over. */
        @Override
        public boolean silenceIsSeen() {
            return false;
        }

        @Override
        public boolean hearsNotices() {
            return false;
        }

        @Override
        public void close() throws Exception {
            OpcUaClient last = client;
            client = null;
            if (last != null) {
                last.disconnectAsync();
            }
            wire.close();
        }
    }
}
