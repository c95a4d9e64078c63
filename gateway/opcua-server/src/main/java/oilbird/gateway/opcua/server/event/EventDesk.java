package oilbird.gateway.opcua.server.event;

import java.util.ArrayList;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import java.util.function.Function;
import org.eclipse.milo.opcua.sdk.server.AddressSpaceFilter;
import org.eclipse.milo.opcua.sdk.server.AddressSpaceFragment;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.Session;
import org.eclipse.milo.opcua.sdk.server.SimpleAddressSpaceFilter;
import org.eclipse.milo.opcua.sdk.server.items.BaseMonitoredItem;
import org.eclipse.milo.opcua.sdk.server.items.DataItem;
import org.eclipse.milo.opcua.sdk.server.items.EventItem;
import org.eclipse.milo.opcua.sdk.server.items.MonitoredEventItem;
import org.eclipse.milo.opcua.sdk.server.items.MonitoredItem;
import org.eclipse.milo.opcua.sdk.server.servicesets.impl.DefaultMonitoredItemServiceSet;
import org.eclipse.milo.opcua.sdk.server.subscriptions.Subscription;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.UaSerializationException;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.ExtensionObject;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.CreateMonitoredItemsRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.CreateMonitoredItemsResponse;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ModifyMonitoredItemsRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.ModifyMonitoredItemsResponse;
import org.eclipse.milo.opcua.stack.core.types.structured.MonitoredItemCreateRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.MonitoredItemCreateResult;
import org.eclipse.milo.opcua.stack.core.types.structured.MonitoredItemModifyRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.MonitoredItemModifyResult;
import org.eclipse.milo.opcua.stack.core.types.structured.MonitoringParameters;
import org.eclipse.milo.opcua.stack.core.types.structured.ReadValueId;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;
import org.eclipse.milo.opcua.stack.core.types.structured.ViewDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.WriteValue;
import org.eclipse.milo.opcua.stack.transport.server.ServiceRequestContext;
import org.jspecify.annotations.Nullable;

/**
 * Takes all event items of the server over, those on the Server object included, and hands them as watches to the
 * {@link EventSide}.
 *
 * <p>The library accepts filters with And, Or, InList or Like, or with one unknown field, and then delivers nothing.
 * So the event side judges the filter before the item is made, the library gets it without its where clause, and fields
 * and where clause are evaluated by the event side alone.
 */
public final class EventDesk {
    private static final ContentFilter NO_WHERE = new ContentFilter(new ContentFilterElement[0]);

    private final OpcUaServer server;
    private final EventSide side;
    private final EventQueues queues;
    private final Map<BaseMonitoredItem<?>, EventWatch> watches = new ConcurrentHashMap<>();

    public EventDesk(OpcUaServer server, EventSide side, EventQueues queues) {
        this.server = server;
        this.side = side;
        this.queues = queues;
    }

    /** The services of monitored items, to be put in the place of the library's. */
    public DefaultMonitoredItemServiceSet services() {
        return new Services();
    }

    /** To be registered first, so that event items come here whatever node they are on. */
    public AddressSpaceFragment items() {
        return new Items();
    }

    /** How many watches there are. */
    public int count() {
        return watches.size();
    }

    private final class Services extends DefaultMonitoredItemServiceSet {
        Services() {
            super(server);
        }

        @Override
        public CreateMonitoredItemsResponse onCreateMonitoredItems(
                ServiceRequestContext context, CreateMonitoredItemsRequest request) throws UaException {
            MonitoredItemCreateRequest[] asked = request.getItemsToCreate();
            if (asked == null) {
                return super.onCreateMonitoredItems(context, request);
            }
            Map<Integer, Judged> judged = new LinkedHashMap<>();
            MonitoredItemCreateRequest[] passed = asked.clone();
            for (int i = 0; i < asked.length; i++) {
                if (AttributeId.EventNotifier.uid()
                        .equals(asked[i].getItemToMonitor().getAttributeId())) {
                    Judged one = judge(asked[i].getRequestedParameters());
                    if (one != null) {
                        judged.put(i, one);
                        passed[i] = new MonitoredItemCreateRequest(
                                asked[i].getItemToMonitor(), asked[i].getMonitoringMode(), one.passedOn());
                    }
                }
            }
            if (judged.isEmpty()) {
                return super.onCreateMonitoredItems(context, request);
            }
            CreateMonitoredItemsResponse response = super.onCreateMonitoredItems(
                    context,
                    new CreateMonitoredItemsRequest(
                            request.getRequestHeader(),
                            request.getSubscriptionId(),
                            request.getTimestampsToReturn(),
                            passed));
            MonitoredItemCreateResult[] results = results(response.getResults(), new MonitoredItemCreateResult[0]);
            Function<UInteger, @Nullable BaseMonitoredItem<?>> items =
                    items(context, request.getSubscriptionId(), request);
            judged.forEach((i, one) -> {
                MonitoredItemCreateResult result = results[i];
                if (!one.answer().status().isGood()) {
                    results[i] = new MonitoredItemCreateResult(
                            one.answer().status(), UInteger.MIN, 0.0, UInteger.MIN, one.encodedResult());
                } else if (result.getStatusCode().isGood()) {
                    results[i] = new MonitoredItemCreateResult(
                            result.getStatusCode(),
                            result.getMonitoredItemId(),
                            result.getRevisedSamplingInterval(),
                            result.getRevisedQueueSize(),
                            one.encodedResult());
                    watch(items.apply(result.getMonitoredItemId()), one.filter());
                }
            });
            return new CreateMonitoredItemsResponse(
                    response.getResponseHeader(), results, response.getDiagnosticInfos());
        }

        @Override
        public ModifyMonitoredItemsResponse onModifyMonitoredItems(
                ServiceRequestContext context, ModifyMonitoredItemsRequest request) throws UaException {
            MonitoredItemModifyRequest[] asked = request.getItemsToModify();
            if (asked == null) {
                return super.onModifyMonitoredItems(context, request);
            }
            Function<UInteger, @Nullable BaseMonitoredItem<?>> items =
                    items(context, request.getSubscriptionId(), request);
            Map<Integer, Judged> judged = new LinkedHashMap<>();
            MonitoredItemModifyRequest[] passed = asked.clone();
            for (int i = 0; i < asked.length; i++) {
                if (items.apply(asked[i].getMonitoredItemId()) instanceof MonitoredEventItem) {
                    Judged one = judge(asked[i].getRequestedParameters());
                    if (one != null) {
                        judged.put(i, one);
                        passed[i] = new MonitoredItemModifyRequest(asked[i].getMonitoredItemId(), one.passedOn());
                    }
                }
            }
            if (judged.isEmpty()) {
                return super.onModifyMonitoredItems(context, request);
            }
            ModifyMonitoredItemsResponse response = super.onModifyMonitoredItems(
                    context,
                    new ModifyMonitoredItemsRequest(
                            request.getRequestHeader(),
                            request.getSubscriptionId(),
                            request.getTimestampsToReturn(),
                            passed));
            MonitoredItemModifyResult[] results = results(response.getResults(), new MonitoredItemModifyResult[0]);
            judged.forEach((i, one) -> {
                MonitoredItemModifyResult result = results[i];
                if (!one.answer().status().isGood()) {
                    results[i] = new MonitoredItemModifyResult(
                            one.answer().status(), 0.0, UInteger.MIN, one.encodedResult());
                } else if (result.getStatusCode().isGood()) {
                    results[i] = new MonitoredItemModifyResult(
                            result.getStatusCode(),
                            result.getRevisedSamplingInterval(),
                            result.getRevisedQueueSize(),
                            one.encodedResult());
                    watch(items.apply(asked[i].getMonitoredItemId()), one.filter());
                }
            });
            return new ModifyMonitoredItemsResponse(
                    response.getResponseHeader(), results, response.getDiagnosticInfos());
        }

        private <T> T[] results(T @Nullable [] results, T[] none) {
            return results == null ? none : results.clone();
        }

        private Function<UInteger, @Nullable BaseMonitoredItem<?>> items(
                ServiceRequestContext context,
                UInteger subscriptionId,
                org.eclipse.milo.opcua.stack.core.types.UaRequestMessageType request)
                throws UaException {
            Session session = server.getSessionManager().getSession(context, request.getRequestHeader());
            Subscription subscription = session.getSubscriptionManager().getSubscription(subscriptionId);
            return id -> subscription == null
                    ? null
                    : subscription.getMonitoredItems().get(id);
        }
    }

    /**
     * An event filter and what was said of it.
     *
     * @param passedOn what the library gets; what it must refuse where the filter is not good.
     */
    private record Judged(
            EventFilter filter, FilterAnswer answer, ExtensionObject encodedResult, MonitoringParameters passedOn) {}

    /** Null where the filter is none for events, which the library refuses by itself. */
    private @Nullable Judged judge(MonitoringParameters asked) {
        EventFilter filter = decoded(asked.getFilter());
        if (filter == null) {
            return null;
        }
        FilterAnswer answer = side.check(filter);
        SimpleAttributeOperand[] select =
                answer.status().isGood() ? filter.getSelectClauses() : new SimpleAttributeOperand[0];
        var context = server.getStaticEncodingContext();
        return new Judged(
                filter,
                answer,
                ExtensionObject.encode(context, answer.result()),
                new MonitoringParameters(
                        asked.getClientHandle(),
                        asked.getSamplingInterval(),
                        ExtensionObject.encode(context, new EventFilter(select, NO_WHERE)),
                        asked.getQueueSize(),
                        asked.getDiscardOldest()));
    }

    private @Nullable EventFilter decoded(@Nullable ExtensionObject filter) {
        try {
            return filter != null
                            && !filter.isNull()
                            && filter.decode(server.getStaticEncodingContext()) instanceof EventFilter event
                    ? event
                    : null;
        } catch (UaSerializationException e) {
            return null;
        }
    }

    private void watch(@Nullable BaseMonitoredItem<?> item, EventFilter filter) {
        if (item instanceof MonitoredEventItem event) {
            EventWatch watch = watches.computeIfAbsent(event, made -> new EventWatch(event, filter));
            watch.filter(filter);
            side.watched(watch);
        }
    }

    private final class Items implements AddressSpaceFragment {
        @Override
        public AddressSpaceFilter getFilter() {
            return new SimpleAddressSpaceFilter() {
                @Override
                protected boolean filterNode(NodeId nodeId) {
                    return false;
                }

                @Override
                protected boolean filterMonitoredItem(NodeId nodeId) {
                    return false;
                }

                @Override
                public boolean filterOnCreateEventItem(OpcUaServer of, ReadValueId item) {
                    return true;
                }

                @Override
                public boolean filterOnModifyEventItem(OpcUaServer of, ReadValueId item) {
                    return true;
                }

                @Override
                public boolean filterOnEventItemsCreated(OpcUaServer of, ReadValueId item) {
                    return true;
                }

                @Override
                public boolean filterOnEventItemsModified(OpcUaServer of, ReadValueId item) {
                    return true;
                }

                @Override
                public boolean filterOnEventItemsDeleted(OpcUaServer of, ReadValueId item) {
                    return true;
                }

                @Override
                public boolean filterOnMonitoringModeChanged(OpcUaServer of, ReadValueId item) {
                    return AttributeId.EventNotifier.uid().equals(item.getAttributeId());
                }
            };
        }

        @Override
        public RevisedEventItemParameters onCreateEventItem(ReadValueId item, UInteger requestedQueueSize) {
            return new RevisedEventItemParameters(queues.revised(requestedQueueSize));
        }

        @Override
        public RevisedEventItemParameters onModifyEventItem(ReadValueId item, UInteger requestedQueueSize) {
            return new RevisedEventItemParameters(queues.revised(requestedQueueSize));
        }

        @Override
        public void onEventItemsDeleted(List<EventItem> items) {
            for (EventItem item : items) {
                // A map of items holds no other kind.
                EventWatch watch = item instanceof MonitoredEventItem event ? watches.remove(event) : null;
                if (watch != null) {
                    side.unwatched(watch);
                }
            }
        }

        @Override
        public void onMonitoringModeChanged(List<MonitoredItem> items) {
            for (MonitoredItem item : items) {
                EventWatch watch = item instanceof MonitoredEventItem event ? watches.get(event) : null;
                if (watch != null) {
                    side.watched(watch);
                }
            }
        }

        @Override
        public List<ReferenceResult> browse(BrowseContext context, ViewDescription view, List<NodeId> nodes) {
            return Collections.nCopies(nodes.size(), ReferenceResult.unknown());
        }

        @Override
        public ReferenceResult.ReferenceList gather(BrowseContext context, ViewDescription view, NodeId node) {
            return ReferenceResult.of(List.of());
        }

        @Override
        public List<DataValue> read(
                ReadContext context, Double maxAge, TimestampsToReturn timestamps, List<ReadValueId> asked) {
            return Collections.nCopies(asked.size(), new DataValue(StatusCodes.Bad_NodeIdUnknown));
        }

        @Override
        public List<StatusCode> write(WriteContext context, List<WriteValue> values) {
            return Collections.nCopies(values.size(), new StatusCode(StatusCodes.Bad_NotWritable));
        }

        @Override
        public void onDataItemsCreated(List<DataItem> items) {}

        @Override
        public void onDataItemsModified(List<DataItem> items) {}

        @Override
        public void onDataItemsDeleted(List<DataItem> items) {}
    }

    /** All watches, for a refresh; the order has no meaning. */
    public List<EventWatch> watches() {
        return new ArrayList<>(watches.values());
    }
}
