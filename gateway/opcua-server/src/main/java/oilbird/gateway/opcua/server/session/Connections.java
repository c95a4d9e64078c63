package oilbird.gateway.opcua.server.session;

import io.netty.channel.ChannelHandler.Sharable;
import io.netty.channel.ChannelHandlerContext;
import io.netty.channel.ChannelInboundHandlerAdapter;
import io.netty.channel.ChannelPipeline;
import java.net.InetSocketAddress;
import java.util.HashMap;
import java.util.Map;
import oilbird.gateway.station.OpcUaServerLinkSettings;

/**
 * Bounds connections: how many there are, how many from one address, and what waits to be sent to a client that does not
 * read, which is heard no further until it has read.
 */
@Sharable
public final class Connections extends ChannelInboundHandlerAdapter {
    private final int most;
    private final int mostOfOne;
    private final Map<String, Integer> open = new HashMap<>();
    private int all;

    public Connections(OpcUaServerLinkSettings.Limits limits) {
        this.most = 4 * limits.sessions() + 20;
        this.mostOfOne = most / 2;
    }

    /** To be called for each new connection. */
    public void on(ChannelPipeline pipeline) {
        String from = pipeline.channel().remoteAddress() instanceof InetSocketAddress address
                ? address.getAddress().getHostAddress()
                : "";
        if (!take(from)) {
            pipeline.channel().close();
            return;
        }
        pipeline.channel().closeFuture().addListener(closed -> leave(from));
        pipeline.addLast(this);
    }

    private synchronized boolean take(String from) {
        int ofOne = open.getOrDefault(from, 0);
        if (all >= most || ofOne >= mostOfOne) {
            return false;
        }
        all++;
        open.put(from, ofOne + 1);
        return true;
    }

    private synchronized void leave(String from) {
        all--;
        if (open.merge(from, -1, Integer::sum) <= 0) {
            open.remove(from);
        }
    }

    public synchronized int count() {
        return all;
    }

    @Override
    public void channelWritabilityChanged(ChannelHandlerContext context) throws Exception {
        context.channel().config().setAutoRead(context.channel().isWritable());
        super.channelWritabilityChanged(context);
    }
}
