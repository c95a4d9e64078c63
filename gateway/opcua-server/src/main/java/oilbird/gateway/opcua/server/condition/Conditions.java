package oilbird.gateway.opcua.server.condition;

import java.util.HashMap;
import java.util.Map;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.function.Function;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.opcua.server.event.EventSide;
import oilbird.gateway.opcua.server.event.EventWatch;
import oilbird.gateway.opcua.server.event.FilterAnswer;
import oilbird.gateway.opcua.server.event.MethodCall;
import oilbird.gateway.opcua.server.filter.CompiledFilter;
import org.eclipse.milo.opcua.sdk.server.nodes.UaVariableNode;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodResult;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.jspecify.annotations.Nullable;

/**
 * Alarms and conditions of the station (OPC 10000-9, 1.05), without a node for each: 10,000 alarms are 10,000 small images.
 *
 * <p>This server keeps no branches: BranchId is always null, and an alarm that comes again before it was acknowledged is
 * the same condition with a new occurrence.
 */
public final class Conditions implements EventSide, AutoCloseable {
    private final ServerSide side;
    private final EventCatalogue types;
    private final ConditionStore store;
    private final Delivery delivery;
    private final AuditTrail audit;
    private final AlarmMetrics metrics;
    private final Refreshes refreshes;
    private final ConditionCalls calls;
    private final ConditionNodes nodes;
    private final ScheduledExecutorService refreshing = Executors.newSingleThreadScheduledExecutor(task -> {
        Thread thread = new Thread(task, "opcua-refresh");
        thread.setDaemon(true);
        return thread;
    });

    private Conditions(ServerSide side) {
        this.side = side;
        ConditionTypes.make(side.typeNodes(), side.names());
        types = EventCatalogue.of(side.milo());
        store = new ConditionStore(side);
        delivery = new Delivery(side, store);
        audit = new AuditTrail(side, event -> delivery.exclusively(() -> delivery.deliver(event)));
        metrics = new AlarmMetrics(side.now());
        refreshes = new Refreshes(side, store, delivery, refreshing);
        calls = new ConditionCalls(side, store, audit, refreshes, metrics, types);
        nodes = new ConditionNodes(side, store, delivery, types, () -> loadIfOther(side.view()));
    }

    /**
     * Makes the types, the metrics and the images of all alarms; after the library has loaded its own nodes, and before
     * the server takes connections.
     */
    public static Conditions open(ServerSide side) {
        Conditions conditions = new Conditions(side);
        MetricsNode.make(side, conditions.metrics);
        conditions.announceFilteredRetain();
        conditions.load();
        conditions.nodes.open();
        return conditions;
    }

    /** 5.5.2: a client is told once of a condition that its filter no longer passes. */
    private void announceFilteredRetain() {
        side.milo()
                .getAddressSpaceManager()
                .getManagedNode(NodeIds.ConditionType_SupportsFilteredRetain)
                .filter(UaVariableNode.class::isInstance)
                .map(UaVariableNode.class::cast)
                .ifPresent(node -> node.setValue(new DataValue(new Variant(true))));
    }

    private void load() {
        store.load(side.view());
        begin();
    }

    /** The server may start before the station's first picture is there, and rules may be loaded at any time. */
    private void loadIfOther(StationView view) {
        if (store.loadIfOther(view)) {
            begin();
            refreshes.required();
        }
    }

    private void begin() {
        for (AlarmId id : store.ids()) {
            ConditionImage image = store.get(id);
            if (image != null) {
                metrics.begin(image, side.now());
            }
        }
    }

    /** How many alarms there are conditions of. */
    public int size() {
        return store.ids().size();
    }

    /** Events were lost on their way here: the images are made anew, and every client is told to refresh. */
    public void lost() {
        delivery.exclusively(this::load);
        refreshes.required();
    }

    @Override
    public FilterAnswer check(EventFilter filter) {
        CompiledFilter compiled = CompiledFilter.of(filter, types, side.milo().getStaticEncodingContext());
        return new FilterAnswer(compiled.status(), compiled.result());
    }

    @Override
    public void watched(EventWatch watch) {
        loadIfOther(side.view());
        CompiledFilter compiled =
                CompiledFilter.of(watch.filter(), types, side.milo().getStaticEncodingContext());
        if (compiled.status().isGood()) {
            delivery.add(new Watching(watch, compiled));
        }
    }

    @Override
    public void unwatched(EventWatch watch) {
        delivery.remove(watch);
    }

    @Override
    public @Nullable CompletionStage<CallMethodResult> call(MethodCall call) {
        loadIfOther(side.view());
        return calls.call(call);
    }

    @Override
    public Function<RecordedEvent, Variant @Nullable []> past(EventFilter filter, NodeId notifier) {
        CompiledFilter compiled = CompiledFilter.of(filter, types, side.milo().getStaticEncodingContext());
        Map<AlarmId, ConditionImage> images = new HashMap<>();
        return recorded -> {
            if (compiled.status().isBad()
                    || !(recorded.event() instanceof StationEvent.OfAlarm ofAlarm)
                    || ofAlarm.event().kind() == AlarmEvent.Kind.REFUSED) {
                return null;
            }
            ConditionImage now = store.get(ofAlarm.event().alarm());
            if (now == null
                    || !(notifier.equals(NodeIds.Server) || store.notifiers(now).contains(notifier))) {
                return null;
            }
            ConditionImage before = images.getOrDefault(now.rule().id(), ConditionImage.beforeAnything(now.rule()));
            ConditionImage after = before.after(
                    ofAlarm, now.rule(), ofAlarm.event().quality(), ofAlarm.at().wallMillis());
            images.put(now.rule().id(), after);
            ConditionEvent event = delivery.event(after);
            return compiled.passes(event) ? compiled.fields(event) : null;
        };
    }

    @Override
    public void happened(RecordedEvent recorded) {
        if (recorded.event() instanceof StationEvent.OfAlarm ofAlarm) {
            delivery.exclusively(() -> happened(ofAlarm));
        } else if (recorded.event() instanceof StationEvent.Notice notice
                && (notice.kind() == StationEvent.Notice.Kind.RULES_LOADED
                        || notice.kind() == StationEvent.Notice.Kind.EVENTS_MISSED)) {
            lost();
        }
    }

    private void happened(StationEvent.OfAlarm ofAlarm) {
        StationView view = side.view();
        loadIfOther(view);
        ConditionStore.Change change = store.apply(ofAlarm, view);
        if (change != null) {
            metrics.changed(change);
            delivery.deliver(change.after(), store.notifiers(change.after()));
            audit.happened(change.event());
        }
    }

    @Override
    public void close() {
        nodes.close();
        refreshing.shutdownNow();
    }
}
