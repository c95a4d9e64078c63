package oilbird.gateway.opcua;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.ExecutionException;
import oilbird.mapping.address.NodeBlock;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaMonitoredItem;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaSubscription;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.enumerated.DataChangeTrigger;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MonitoringMode;
import org.eclipse.milo.opcua.stack.core.types.structured.DataChangeFilter;

/** A subscription of the server for the nodes of one block; OPC UA Part 4, 5.14. */
final class BlockSubscription {
    /** A server that answers less often than this many periods is read instead. */
    private static final int SLOWEST_IN_PERIODS = 3;

    private static final int INTERVALS_IN_PERIOD = 2;
    private static final long LIFETIME_MILLIS = 60_000;
    private static final int SHORTEST_LIFETIME = 10;

    /** Told from the library's threads, one call after the other. */
    interface Listener {
        /** Values changed, or are told for the first time. */
        void told(List<BlockImage.Change> changes);

        /** Nothing has changed: the values that were told stand. */
        void stands();

        /** Values between those that were told are lost. */
        void gap(String why);

        /** The server has ended the subscription. */
        void ended(String why);
    }

    /** What the server made of the request. */
    sealed interface Taking {
        /**
         * @param interval within which the server says something.
         * @param silence after which something is wrong.
         * @param refused items that the server does not watch, with its reason.
         */
        record Taken(
                BlockSubscription subscription, Duration interval, Duration silence, List<BlockImage.Change> refused)
                implements Taking {}

        /** The server takes no such subscription: the block is to be read. */
        record NotTaken(String why) implements Taking {}
    }

    private final OpcUaSubscription subscription;

    private BlockSubscription(OpcUaSubscription subscription) {
        this.subscription = subscription;
    }

    static Taking take(
            OpcUaClient client,
            Namespaces namespaces,
            NodeBlock block,
            Duration period,
            Duration deadline,
            Listener listener)
            throws ExecutionException {
        // An answer every period, changes or not: then it is known every period that the values stand. Two intervals a
        // period, since some servers never send a keep-alive when one is asked for in every interval.
        long interval = Math.max(1, period.toMillis() / INTERVALS_IN_PERIOD);
        OpcUaSubscription subscription = new OpcUaSubscription(client, interval);
        subscription.setLifetimeAndKeepAliveCalculated(false);
        subscription.setMaxKeepAliveCount(uint(INTERVALS_IN_PERIOD));
        subscription.setLifetimeCount(uint(Math.max(SHORTEST_LIFETIME, LIFETIME_MILLIS / interval)));
        subscription.setSubscriptionListener(new Ear(listener));
        try {
            subscription.create();
        } catch (UaException e) {
            if (isSessionLost(e.getStatusCode())) {
                throw new ExecutionException(e);
            }
            return new Taking.NotTaken(Values.name(e.getStatusCode()));
        }
        double revised = subscription.getRevisedPublishingInterval().orElse((double) interval);
        long keepAlive = subscription
                .getRevisedMaxKeepAliveCount()
                .map(Number::longValue)
                .orElse(1L);
        Duration answers = Duration.ofNanos((long) (revised * 1e6 * Math.max(1, keepAlive)));
        if (answers.compareTo(period.multipliedBy(SLOWEST_IN_PERIODS)) > 0) {
            drop(subscription);
            return new Taking.NotTaken("it would answer only every " + answers.toMillis() + " ms");
        }
        List<BlockImage.Change> refused = new ArrayList<>();
        List<OpcUaMonitoredItem> items = items(namespaces, block, refused);
        subscription.addMonitoredItems(items);
        subscription.createMonitoredItems();
        for (OpcUaMonitoredItem item : items) {
            StatusCode result = item.getCreateResult().orElse(new StatusCode(StatusCodes.Bad_UnexpectedError));
            if (result.isGood()) {
                continue;
            }
            if (isSessionLost(result)) {
                throw new ExecutionException(new UaException(result));
            }
            BlockImage.Change without = new BlockImage.Change(index(item), Values.without(result));
            if (!without.value().refused()) {
                drop(subscription);
                return new Taking.NotTaken(Values.name(result) + " for "
                        + block.items().get(index(item)).node().name());
            }
            refused.add(without);
        }
        return new Taking.Taken(
                new BlockSubscription(subscription),
                answers,
                answers.multipliedBy(2).plus(deadline),
                refused);
    }

    private static List<OpcUaMonitoredItem> items(
            Namespaces namespaces, NodeBlock block, List<BlockImage.Change> refused) {
        List<OpcUaMonitoredItem> items = new ArrayList<>();
        for (int i = 0; i < block.items().size(); i++) {
            NodeBlock.Item wanted = block.items().get(i);
            Optional<NodeId> id = namespaces.id(wanted.node().name());
            if (id.isEmpty()) {
                refused.add(new BlockImage.Change(i, Values.without(new StatusCode(StatusCodes.Bad_NodeIdUnknown))));
                continue;
            }
            OpcUaMonitoredItem item =
                    new OpcUaMonitoredItem(ServerConnection.valueOf(id.get()), MonitoringMode.Reporting);
            item.setSamplingInterval(wanted.node().sampling().toMillis());
            // The library's default is a queue of one, which loses what comes and goes between two answers.
            item.setQueueSize(uint(wanted.node().queue()));
            item.setDiscardOldest(true);
            if (wanted.stamps()) {
                item.setFilter(new DataChangeFilter(DataChangeTrigger.StatusValueTimestamp, uint(0), 0.0));
            }
            item.setUserObject(i);
            items.add(item);
        }
        return items;
    }

    private static int index(OpcUaMonitoredItem item) {
        return (Integer) item.getUserObject().orElseThrow();
    }

    /** Asks the server to forget it. */
    void end() {
        drop(subscription);
    }

    private static void drop(OpcUaSubscription subscription) {
        subscription.deleteAsync();
    }

    /** Whether it says nothing of the subscription, but that there is nobody to talk to. */
    private static boolean isSessionLost(StatusCode status) {
        long code = status.value();
        return code == StatusCodes.Bad_Timeout
                || code == StatusCodes.Bad_NotConnected
                || code == StatusCodes.Bad_ConnectionClosed
                || code == StatusCodes.Bad_ConnectionRejected
                || code == StatusCodes.Bad_SessionClosed
                || code == StatusCodes.Bad_SessionIdInvalid
                || code == StatusCodes.Bad_SessionNotActivated
                || code == StatusCodes.Bad_SecureChannelClosed
                || code == StatusCodes.Bad_SecureChannelIdInvalid
                || code == StatusCodes.Bad_Shutdown
                || code == StatusCodes.Bad_UnexpectedError;
    }

    @Override
    public String toString() {
        return "subscription "
                + subscription.getSubscriptionId().map(String::valueOf).orElse("-");
    }

    /** Hears what the library has to tell. */
    private record Ear(Listener listener) implements OpcUaSubscription.SubscriptionListener {
        @Override
        public void onDataReceived(
                OpcUaSubscription subscription, List<OpcUaMonitoredItem> items, List<DataValue> values) {
            List<BlockImage.Change> changes = new ArrayList<>();
            boolean overflow = false;
            for (int i = 0; i < items.size(); i++) {
                changes.add(new BlockImage.Change(index(items.get(i)), Values.of(values.get(i))));
                overflow |= values.get(i).statusCode().isOverflowSet();
            }
            listener.told(changes);
            if (overflow) {
                listener.gap("a queue of the server was too short");
            }
        }

        @Override
        public void onKeepAliveReceived(OpcUaSubscription subscription) {
            listener.stands();
        }

        @Override
        public void onNotificationDataLost(OpcUaSubscription subscription) {
            listener.gap("answers of the server were lost");
        }

        @Override
        public void onStatusChanged(OpcUaSubscription subscription, StatusCode status) {
            listener.ended("the server ended the subscription (" + Values.name(status) + ")");
        }

        @Override
        public void onTransferFailed(OpcUaSubscription subscription, StatusCode status) {
            listener.ended("the subscription was lost with the session (" + Values.name(status) + ")");
        }
    }
}
