package oilbird.gateway.opcua.server.event;

import java.lang.invoke.MethodHandle;
import java.lang.invoke.MethodHandles;
import java.lang.invoke.MethodType;
import java.lang.invoke.VarHandle;
import org.eclipse.milo.opcua.sdk.server.Session;
import org.eclipse.milo.opcua.sdk.server.items.BaseMonitoredItem;
import org.eclipse.milo.opcua.sdk.server.items.MonitoredEventItem;
import org.eclipse.milo.opcua.sdk.server.util.RingBuffer;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;

/**
 * One client's watch on one notifier: a monitored item for events. What is handed to it waits in the item's own
 * bounded queue until the subscription publishes it. Thread-safe; the same object for the life of the item.
 */
public final class EventWatch {
    /**
     * The library chooses fields and evaluates filters itself, on nodes, and only in part (see {@link EventDesk}); the
     * queue behind that takes ready fields, and has no public way in.
     */
    private static final MethodHandle ENQUEUE;

    private static final VarHandle QUEUE;

    static {
        try {
            ENQUEUE = MethodHandles.privateLookupIn(MonitoredEventItem.class, MethodHandles.lookup())
                    .findVirtual(
                            MonitoredEventItem.class, "enqueue", MethodType.methodType(void.class, Variant[].class));
            QUEUE = MethodHandles.privateLookupIn(BaseMonitoredItem.class, MethodHandles.lookup())
                    .findVarHandle(BaseMonitoredItem.class, "queue", RingBuffer.class);
        } catch (ReflectiveOperationException e) {
            throw new ExceptionInInitializerError(e);
        }
    }

    private final MonitoredEventItem item;
    private volatile EventFilter filter;

    EventWatch(MonitoredEventItem item, EventFilter filter) {
        this.item = item;
        this.filter = filter;
    }

    /** The node whose events are watched: the Server object or a notifier of the station. */
    public NodeId notifier() {
        return item.getReadValueId().getNodeId();
    }

    /** The filter as the client sent it. */
    public EventFilter filter() {
        return filter;
    }

    void filter(EventFilter next) {
        this.filter = next;
    }

    /** The client's session; another one after its subscription was transferred. */
    public Session session() {
        return item.getSession();
    }

    public UInteger subscription() {
        return item.getSubscriptionId();
    }

    public UInteger item() {
        return item.getId();
    }

    /** Events that its queue takes before it overflows. */
    public int room() {
        // The library guards its queue with the item itself.
        synchronized (item) {
            RingBuffer<?> queue = (RingBuffer<?>) QUEUE.getVolatile(item);
            return queue.maxSize() - queue.size();
        }
    }

    /** False while the client has switched the item off; nothing is to be handed to it then. */
    public boolean enabled() {
        return item.isSamplingEnabled();
    }

    /**
     * Puts an event in the item's queue; if that is full an overflow is noted, and the oldest or newest is dropped, as
     * the client chose.
     *
     * @param fields one value a select clause, in their order; of no use to anybody else afterwards.
     */
    public void deliver(Variant[] fields) {
        try {
            ENQUEUE.invokeExact(item, fields);
        } catch (RuntimeException | Error e) {
            throw e;
        } catch (Throwable e) {
            throw new IllegalStateException(e);
        }
    }
}
