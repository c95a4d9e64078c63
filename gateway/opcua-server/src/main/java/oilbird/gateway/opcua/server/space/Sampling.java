package oilbird.gateway.opcua.server.space;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;

import java.util.List;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.function.LongSupplier;
import java.util.function.Supplier;
import oilbird.alarm.station.StationView;
import org.eclipse.milo.opcua.sdk.server.AddressSpace.RevisedDataItemParameters;
import org.eclipse.milo.opcua.sdk.server.items.DataItem;
import org.eclipse.milo.opcua.sdk.server.items.MonitoredItem;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.jspecify.annotations.Nullable;

/**
 * Hands changed values to the items that watch them. One turn looks at the newest picture once for all items; an item
 * whose reading is still the same object costs a comparison. The queue of an item is the library's and bounded.
 */
final class Sampling {
    static final Double LEAST_MILLIS = 100.0;
    private static final double MOST_MILLIS = 86_400_000.0;
    private static final int LONGEST_QUEUE = 100;
    private static final int LIFE_TURNS = 10;
    private static final Object NOTHING_YET = new Object();

    private final StationNodes nodes;
    private final Supplier<StationView> view;
    private final LongSupplier nanos = System::nanoTime;
    private final Map<DataItem, Watched> watched = new ConcurrentHashMap<>();
    private final AtomicBoolean turning = new AtomicBoolean();
    private volatile @Nullable StationView last;
    private volatile boolean owed;
    private int unchanged;

    /** One item; its fields are guarded by itself. */
    private static final class Watched {
        final SpaceNode.Content content;

        @Nullable
        Object seen = NOTHING_YET;

        long next;

        Watched(SpaceNode.Content content) {
            this.content = content;
        }
    }

    Sampling(StationNodes nodes, Supplier<StationView> view) {
        this.nodes = nodes;
        this.view = view;
    }

    static RevisedDataItemParameters revised(Double interval, UInteger queue) {
        return new RevisedDataItemParameters(Math.max(LEAST_MILLIS, Math.min(MOST_MILLIS, interval)), uint((int)
                Math.max(1, Math.min(LONGEST_QUEUE, queue.longValue()))));
    }

    void add(List<DataItem> items) {
        StationView now = view.get();
        for (DataItem item : items) {
            SpaceNode node = nodes.find(item.getReadValueId().getNodeId());
            if (node == null) {
                continue;
            }
            SpaceNode.Content content = node.content();
            if (content != null
                    && AttributeId.Value.uid().equals(item.getReadValueId().getAttributeId())) {
                Watched made = new Watched(content);
                watched.put(item, made);
                look(item, made, now, nanos.getAsLong());
            } else {
                // What is no value never changes.
                item.setValue(StationSpace.value(node, item.getReadValueId(), TimestampsToReturn.Both, now));
            }
        }
    }

    void remove(List<DataItem> items) {
        items.forEach(watched::remove);
    }

    /** An item that was switched on again is told how things stand. */
    void modeChanged(List<MonitoredItem> items) {
        StationView now = view.get();
        for (MonitoredItem item : items) {
            Watched known = item instanceof DataItem ? watched.get(item) : null;
            if (known != null && item instanceof DataItem data && data.isSamplingEnabled()) {
                synchronized (known) {
                    known.seen = NOTHING_YET;
                    known.next = 0;
                }
                look(data, known, now, nanos.getAsLong());
            }
        }
    }

    /** How many values are watched. */
    int count() {
        return watched.size();
    }

    void run() {
        if (!turning.compareAndSet(false, true)) {
            return;
        }
        try {
            turn();
        } finally {
            turning.set(false);
        }
    }

    private void turn() {
        StationView now = view.get();
        // The life sign changes by itself.
        if (now == last && !owed && ++unchanged < LIFE_TURNS) {
            return;
        }
        unchanged = 0;
        last = now;
        boolean anyOwed = false;
        long at = nanos.getAsLong();
        for (Map.Entry<DataItem, Watched> each : watched.entrySet()) {
            if (each.getKey().isSamplingEnabled()) {
                anyOwed |= !look(each.getKey(), each.getValue(), now, at);
            }
        }
        owed = anyOwed;
    }

    /** False where the item has to wait for its sampling interval to pass. */
    private static boolean look(DataItem item, Watched of, StationView now, long at) {
        synchronized (of) {
            Object seen = of.content.seen().apply(now);
            if (of.seen == seen || of.seen != NOTHING_YET && of.seen != null && of.seen.equals(seen)) {
                return true;
            }
            if (of.seen != NOTHING_YET && at - of.next < 0) {
                return false;
            }
            of.seen = seen;
            // Half a turn early rather than a turn late.
            of.next = at + (long) ((item.getSamplingInterval() - LEAST_MILLIS / 2) * 1e6);
            DataValue value = of.content.shown().apply(seen);
            item.setValue(DataValue.derivedValue(value, TimestampsToReturn.Both));
            return true;
        }
    }
}
