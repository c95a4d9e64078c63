package oilbird.demoplant.opcua;

import io.netty.channel.ChannelDuplexHandler;
import io.netty.channel.ChannelHandlerContext;
import io.netty.channel.ChannelPromise;
import io.netty.util.ReferenceCountUtil;
import java.util.function.BooleanSupplier;

/**
 * Stands between one connection and the OPC UA library: while the monitor is silent nothing passes either way, and a
 * connection in which something was lost is closed once it speaks again, as after a restart.
 */
final class SilenceGate extends ChannelDuplexHandler {
    private final BooleanSupplier silent;
    private boolean lost;

    SilenceGate(BooleanSupplier silent) {
        this.silent = silent;
    }

    @Override
    public void channelRead(ChannelHandlerContext ctx, Object message) {
        if (blocked(ctx)) {
            ReferenceCountUtil.release(message);
        } else {
            ctx.fireChannelRead(message);
        }
    }

    @Override
    public void write(ChannelHandlerContext ctx, Object message, ChannelPromise promise) {
        if (blocked(ctx)) {
            ReferenceCountUtil.release(message);
            promise.setSuccess();
        } else {
            ctx.write(message, promise);
        }
    }

    private boolean blocked(ChannelHandlerContext ctx) {
        if (silent.getAsBoolean()) {
            lost = true;
            return true;
        }
        if (lost) {
            ctx.close();
        }
        return lost;
    }
}
