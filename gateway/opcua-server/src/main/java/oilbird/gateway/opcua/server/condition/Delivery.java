package oilbird.gateway.opcua.server.condition;

import java.util.Collection;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import oilbird.gateway.opcua.server.event.EventWatch;
import oilbird.gateway.opcua.server.filter.FilteredEvent;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;

/** Who watches, and the one lock under which events go out: every client sees them in one order. */
final class Delivery {
    private final ServerSide side;
    private final ConditionStore store;
    private final Map<EventWatch, Watching> watchings = new ConcurrentHashMap<>();

    Delivery(ServerSide side, ConditionStore store) {
        this.side = side;
        this.store = store;
    }

    void add(Watching watching) {
        watchings.put(watching.watch(), watching);
    }

    void remove(EventWatch watch) {
        watchings.remove(watch);
    }

    Collection<Watching> watchings() {
        return watchings.values();
    }

    boolean has(Watching watching) {
        return watchings.get(watching.watch()) == watching;
    }

    synchronized void exclusively(Runnable delivering) {
        delivering.run();
    }

    ConditionEvent event(ConditionImage image) {
        return new ConditionEvent(
                image,
                side.names(),
                side.facts(),
                side.now(),
                store.isFirst(image),
                image.retained(),
                () -> Words.of(image, side.view(), side));
    }

    /** To everybody who hears the alarm's source. */
    void deliver(ConditionImage image, Set<NodeId> notifiers) {
        if (watchings.isEmpty()) {
            return;
        }
        ConditionEvent event = event(image);
        for (Watching watching : watchings.values()) {
            if (watching.hears(notifiers, NodeIds.Server)) {
                watching.deliver(event);
            }
        }
    }

    /** An event of the server itself, reported at the Server object alone. */
    void deliver(FilteredEvent event) {
        for (Watching watching : watchings.values()) {
            if (watching.hears(Set.of(), NodeIds.Server)) {
                watching.deliver(event);
            }
        }
    }
}
