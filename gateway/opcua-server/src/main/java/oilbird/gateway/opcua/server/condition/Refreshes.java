package oilbird.gateway.opcua.server.condition;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ushort;

import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.AlarmId;
import oilbird.gateway.opcua.server.event.MethodCall;
import org.eclipse.milo.opcua.sdk.server.subscriptions.Subscription;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.jboss.logging.Logger;

/**
 * Refreshes of one subscription each (OPC 10000-9, 4.5, 5.5.7, 5.5.8): a start, the retained conditions that pass the
 * filter with the event ids they have, an end.
 *
 * <p>Each condition goes out as it is when its turn comes, so a live event in between is never followed by an older copy.
 * A refresh goes on as fast as the client takes it, so that a short queue does not overflow; it waits for a client that
 * takes nothing only so long.
 */
final class Refreshes {
    private static final Logger LOG = Logger.getLogger(Refreshes.class);
    private static final int AT_A_TIME = 100;
    private static final long LOOK_AGAIN_MILLIS = 10;
    private static final long PATIENCE_NANOS = TimeUnit.SECONDS.toNanos(20);

    private final ServerSide side;
    private final ConditionStore store;
    private final Delivery delivery;
    private final ScheduledExecutorService thread;
    private final Set<UInteger> running = ConcurrentHashMap.newKeySet();

    Refreshes(ServerSide side, ConditionStore store, Delivery delivery, ScheduledExecutorService thread) {
        this.side = side;
        this.store = store;
        this.delivery = delivery;
        this.thread = thread;
    }

    /** Begins a refresh for who asks; returns at once, with the status of the call. */
    long begin(MethodCall call, NodeId object, Arguments arguments) {
        if (!object.equals(NodeIds.ConditionType)) {
            return StatusCodes.Bad_NodeIdInvalid;
        }
        UInteger id = arguments.subscription();
        if (id == null) {
            return StatusCodes.Bad_InvalidArgument;
        }
        Subscription own = call.session().getSubscriptionManager().getSubscription(id);
        if (own == null) {
            return side.milo().getSubscriptions().containsKey(id)
                    ? StatusCodes.Bad_UserAccessDenied
                    : StatusCodes.Bad_SubscriptionIdInvalid;
        }
        List<Watching> items = new ArrayList<>();
        for (Watching watching : delivery.watchings()) {
            boolean wanted = arguments.item() == null
                    || arguments.item().equals(watching.watch().item());
            if (watching.watch().subscription().equals(id) && wanted) {
                items.add(watching);
            }
        }
        if (items.isEmpty()) {
            return arguments.item() == null ? StatusCodes.Bad_NothingToDo : StatusCodes.Bad_MonitoredItemIdInvalid;
        }
        if (!running.add(id)) {
            return StatusCodes.Bad_RefreshInProgress;
        }
        new Refresh(id, items).start();
        return StatusCode.GOOD.value();
    }

    /** Tells every client that what it has may be wrong (5.11.4). */
    void required() {
        PlainEvent event = marker(NodeIds.RefreshRequiredEventType, "Refresh required");
        delivery.exclusively(() -> delivery.watchings().forEach(w -> {
            if (w.watch().enabled()) {
                w.deliverUnfiltered(event);
            }
        }));
    }

    private PlainEvent marker(NodeId type, String message) {
        DateTime now = ConditionEvent.time(side.now().wallMillis());
        return new PlainEvent(type)
                .with("EventId", AuditTrail.newEventId())
                .with("SourceNode", NodeIds.Server)
                .with("SourceName", "Server")
                .with("Time", now)
                .with("ReceiveTime", now)
                .with("Message", new LocalizedText("en", message))
                .with("Severity", ushort(100));
    }

    private final class Refresh implements Runnable {
        private final UInteger subscription;
        private final List<Watching> items;
        private final Iterator<AlarmId> left;
        private long lastProgress = System.nanoTime();

        Refresh(UInteger subscription, List<Watching> items) {
            this.subscription = subscription;
            this.items = items;
            this.left = store.ids().iterator();
        }

        void start() {
            PlainEvent start = marker(NodeIds.RefreshStartEventType, "Refresh start");
            delivery.exclusively(() -> items.forEach(item -> item.deliverUnfiltered(start)));
            thread.execute(this);
        }

        @Override
        public void run() {
            try {
                delivery.exclusively(this::some);
            } catch (RuntimeException e) {
                running.remove(subscription);
                LOG.errorf(e, "GW-2721 a refresh for subscription %s failed", subscription);
            }
        }

        private void some() {
            items.removeIf(item -> !delivery.has(item));
            int room =
                    items.stream().mapToInt(item -> item.watch().room()).min().orElse(0);
            boolean takesNothing = System.nanoTime() - lastProgress > PATIENCE_NANOS;
            if (items.isEmpty()) {
                running.remove(subscription);
                return;
            }
            if (room == 0 && !takesNothing) {
                thread.schedule(this, LOOK_AGAIN_MILLIS, TimeUnit.MILLISECONDS);
                return;
            }
            int most = takesNothing ? AT_A_TIME : Math.min(room, AT_A_TIME);
            int sent = 0;
            for (int looked = 0; sent < most && looked < 10 * AT_A_TIME && left.hasNext(); looked++) {
                ConditionImage image = store.get(left.next());
                if (image != null && image.retained() && !image.eventId().isEmpty()) {
                    sent += refresh(image);
                }
            }
            if (sent > 0) {
                lastProgress = System.nanoTime();
            }
            if (left.hasNext() || sent >= most) {
                thread.execute(this);
                return;
            }
            PlainEvent end = marker(NodeIds.RefreshEndEventType, "Refresh end");
            running.remove(subscription);
            items.forEach(item -> item.deliverUnfiltered(end));
        }

        /** Returns 1 if anybody wanted it. */
        private int refresh(ConditionImage image) {
            ConditionEvent event = delivery.event(image);
            Set<NodeId> notifiers = store.notifiers(image);
            int wanted = 0;
            for (Watching item : items) {
                if (item.hears(notifiers, NodeIds.Server) && item.refresh(event)) {
                    wanted = 1;
                }
            }
            return wanted;
        }
    }
}
