package oilbird.gateway.opcua.server.session;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;
import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ushort;

import oilbird.gateway.station.OpcUaServerLinkSettings;
import org.eclipse.milo.opcua.sdk.server.OpcUaServerConfigLimits;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;

/** How much of the server clients may take; what is more is refused with the protocol's own status. */
public final class ServerLimits implements OpcUaServerConfigLimits {
    private final OpcUaServerLinkSettings.Limits limits;

    public ServerLimits(OpcUaServerLinkSettings.Limits limits) {
        this.limits = limits;
    }

    @Override
    public UInteger getMaxSessions() {
        return uint(limits.sessions());
    }

    @Override
    public UInteger getMaxSubscriptions() {
        return uint(limits.subscriptions());
    }

    /** No client can leave the others without a subscription. */
    @Override
    public UInteger getMaxSubscriptionsPerSession() {
        return uint(Math.max(1, limits.subscriptions() / 4));
    }

    @Override
    public UInteger getMaxMonitoredItems() {
        return uint(limits.items() * 4L);
    }

    @Override
    public UInteger getMaxMonitoredItemsPerSession() {
        return uint(limits.items());
    }

    @Override
    public Double getMinPublishingInterval() {
        return 50.0;
    }

    /** A client that is away for longer than this reads the events it missed from the history. */
    @Override
    public Double getMaxSubscriptionLifetime() {
        return 3_600_000.0;
    }

    @Override
    public Double getMinSupportedSampleRate() {
        return 100.0;
    }

    @Override
    public UInteger getMaxNodesPerRead() {
        return uint(2_000);
    }

    @Override
    public UInteger getMaxNodesPerWrite() {
        return uint(100);
    }

    @Override
    public UInteger getMaxMonitoredItemsPerCall() {
        return uint(2_000);
    }

    @Override
    public UInteger getMaxNodesPerBrowse() {
        return uint(250);
    }

    @Override
    public UInteger getMaxNodesPerMethodCall() {
        return uint(100);
    }

    @Override
    public UShort getMaxBrowseContinuationPoints() {
        return ushort(10);
    }

    @Override
    public UShort getMaxHistoryContinuationPoints() {
        return ushort(5);
    }

    @Override
    public UInteger getMaxPasswordLength() {
        return uint(256);
    }
}
