package oilbird.gateway.opcua.server.condition;

import java.util.HashSet;
import java.util.Set;
import oilbird.alarm.state.AlarmId;
import oilbird.gateway.opcua.server.event.EventWatch;
import oilbird.gateway.opcua.server.filter.CompiledFilter;
import oilbird.gateway.opcua.server.filter.FilteredEvent;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.jboss.logging.Logger;

/** One client's watch with its filter ready, and which conditions the client was sent as retained. */
final class Watching {
    private static final Logger LOG = Logger.getLogger(Watching.class);

    private final EventWatch watch;
    private final CompiledFilter filter;
    private final Set<AlarmId> kept = new HashSet<>();
    private volatile boolean failed;

    Watching(EventWatch watch, CompiledFilter filter) {
        this.watch = watch;
        this.filter = filter;
    }

    EventWatch watch() {
        return watch;
    }

    /** True if events reported at these notifiers, or at the Server object, are seen here. */
    boolean hears(Set<NodeId> notifiers, NodeId server) {
        return watch.enabled() && (watch.notifier().equals(server) || notifiers.contains(watch.notifier()));
    }

    /** What fails for one client is told once, and must not keep events from the others. */
    private void guarded(Runnable delivering) {
        try {
            delivering.run();
        } catch (RuntimeException e) {
            if (!failed) {
                failed = true;
                LOG.errorf(e, "GW-2722 item %s of subscription %s takes no events", watch.item(), watch.subscription());
            }
        }
    }

    /** A condition's event; one that the filter passes no longer goes out once more, as nothing to keep. */
    void deliver(ConditionEvent event) {
        guarded(() -> handOver(event));
    }

    private synchronized boolean handOver(ConditionEvent event) {
        AlarmId alarm = event.image().rule().id();
        if (filter.passes(event)) {
            watch.deliver(filter.fields(event));
            if (event.image().retained()) {
                kept.add(alarm);
            } else {
                kept.remove(alarm);
            }
            return true;
        }
        if (kept.remove(alarm)) {
            watch.deliver(filter.fields(event.notRetained()));
        }
        return false;
    }

    /**
     * Hands a condition over in a refresh.
     *
     * @return true if this client wants it.
     */
    boolean refresh(ConditionEvent event) {
        boolean[] wanted = new boolean[1];
        guarded(() -> wanted[0] = handOver(event));
        return wanted[0];
    }

    void deliver(FilteredEvent event) {
        guarded(() -> {
            if (filter.passes(event)) {
                watch.deliver(filter.fields(event));
            }
        });
    }

    /** An event that no filter holds back: start and end of a refresh, and that one is needed (OPC 10000-9, 4.5). */
    void deliverUnfiltered(FilteredEvent event) {
        guarded(() -> watch.deliver(filter.fields(event)));
    }
}
