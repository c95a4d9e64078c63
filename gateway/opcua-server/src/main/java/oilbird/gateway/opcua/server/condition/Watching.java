package oilbird.gateway.opcua.server.condition;

import java.util.HashSet;
import java.util.Set;
import oilbird.alarm.state.AlarmId;
import oilbird.gateway.opcua.server.event.EventWatch;
import oilbird.gateway.opcua.server.filter.CompiledFilter;
import oilbird.gateway.opcua.server.filter.FilteredEvent;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;

/** One client's watch with its filter ready, and which conditions the client was sent as retained. */
final class Watching {
    private final EventWatch watch;
    private final CompiledFilter filter;
    private final Set<AlarmId> kept = new HashSet<>();

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

    /** A condition's event; one that the filter passes no longer goes out once more, as nothing to keep. */
    synchronized void deliver(ConditionEvent event) {
        AlarmId alarm = event.image().rule().id();
        if (filter.passes(event)) {
            watch.deliver(filter.fields(event));
            if (event.image().retained()) {
                kept.add(alarm);
            } else {
                kept.remove(alarm);
            }
        } else if (kept.remove(alarm)) {
            watch.deliver(filter.fields(event.notRetained()));
        }
    }

    /** True if a refresh is to send it. */
    boolean wants(ConditionEvent event) {
        return filter.passes(event);
    }

    void deliver(FilteredEvent event) {
        if (filter.passes(event)) {
            watch.deliver(filter.fields(event));
        }
    }

    /** An event that no filter holds back: start and end of a refresh, and that one is needed (OPC 10000-9, 4.5). */
    void deliverUnfiltered(FilteredEvent event) {
        watch.deliver(filter.fields(event));
    }
}
