package oilbird.demoplant.wire;

import io.netty.buffer.ByteBuf;
import io.netty.buffer.ByteBufUtil;
import io.netty.buffer.Unpooled;
import io.netty.channel.ChannelDuplexHandler;
import io.netty.channel.ChannelHandlerContext;
import io.netty.channel.ChannelPromise;
import io.netty.util.ReferenceCountUtil;
import java.util.Map;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import oilbird.demoplant.wire.Behaviour.Kind;
import org.jspecify.annotations.Nullable;

/**
 * Stands between one connection and the Modbus library: sees whole frames, answers what the library cannot (function
 * 43/14, and exception 01 for functions the monitor lacks, where the library would hang up), and spoils, holds or drops
 * answers as the behaviour says. Frames for another unit id get no answer, as on a bus where no such unit listens.
 */
final class BehaviourGate extends ChannelDuplexHandler {
    private static final int HEADER = 7;
    private static final int ILLEGAL_FUNCTION = 0x01;
    private static final int LAST_TABLE_FUNCTION = 0x04;

    private final Map<Integer, ServedMonitor> byUnit;
    private final SplittableRandom random;

    private long busyUntilNanos;
    private @Nullable ByteBuf oneBehind;

    BehaviourGate(Map<Integer, ServedMonitor> byUnit, SplittableRandom random) {
        this.byUnit = byUnit;
        this.random = random;
    }

    @Override
    public void channelRead(ChannelHandlerContext ctx, Object message) {
        ByteBuf frame = (ByteBuf) message;
        ServedMonitor asked = frame.readableBytes() <= HEADER ? null : byUnit.get(unitOf(frame));
        Behaviour now = asked == null ? new Behaviour(Kind.SILENT, 0) : asked.behaviour();
        if (asked == null || now.kind() == Kind.SILENT || now.kind() == Kind.REFUSE) {
            frame.release();
            return;
        }
        if (oneBehind != null) {
            ByteBuf held = oneBehind;
            oneBehind = null;
            if (now.kind() == Kind.LATE) {
                ctx.writeAndFlush(held);
            } else {
                held.release();
            }
        }
        int function = frame.getUnsignedByte(frame.readerIndex() + HEADER);
        if (now.kind() == Kind.EXCEPTION) {
            reply(ctx, frame, new byte[] {(byte) (function | 0x80), (byte) now.number()});
        } else if (function == Identification.FUNCTION) {
            byte[] request = ByteBufUtil.getBytes(frame, frame.readerIndex() + HEADER, frame.readableBytes() - HEADER);
            reply(ctx, frame, new Identification(asked.nameplate()).answer(request));
        } else if (function > LAST_TABLE_FUNCTION) {
            reply(ctx, frame, new byte[] {(byte) (function | 0x80), ILLEGAL_FUNCTION});
        } else {
            ctx.fireChannelRead(frame);
        }
    }

    private static int unitOf(ByteBuf frame) {
        return frame.getUnsignedByte(frame.readerIndex() + HEADER - 1);
    }

    private void reply(ChannelHandlerContext ctx, ByteBuf request, byte[] pdu) {
        ByteBuf answer = Unpooled.buffer(HEADER + pdu.length);
        answer.writeBytes(request, request.readerIndex(), 4);
        answer.writeShort(pdu.length + 1);
        answer.writeByte(unitOf(request));
        answer.writeBytes(pdu);
        request.release();
        write(ctx, answer, ctx.newPromise());
        ctx.flush();
    }

    @Override
    public void write(ChannelHandlerContext ctx, Object message, ChannelPromise promise) {
        ByteBuf answer = (ByteBuf) message;
        ServedMonitor answering = byUnit.get(unitOf(answer));
        Behaviour now = answering == null ? Behaviour.NORMAL : answering.behaviour();
        switch (now.kind()) {
            case NORMAL, EXCEPTION -> ctx.write(answer, promise);
            case SILENT, REFUSE -> {
                answer.release();
                promise.setSuccess();
            }
            case SLOW -> {
                long nanoTime = System.nanoTime();
                busyUntilNanos = Math.max(busyUntilNanos, nanoTime) + TimeUnit.MILLISECONDS.toNanos(now.number());
                ctx.executor()
                        .schedule(
                                () -> ctx.writeAndFlush(answer, promise),
                                busyUntilNanos - nanoTime,
                                TimeUnit.NANOSECONDS);
            }
            case GARBAGE -> {
                byte[] nonsense = new byte[answer.readableBytes()];
                random.nextBytes(nonsense);
                answer.release();
                ctx.write(Unpooled.wrappedBuffer(nonsense), promise);
            }
            case LATE -> {
                ReferenceCountUtil.release(oneBehind);
                oneBehind = answer;
                promise.setSuccess();
            }
            case WRONG_TRANSACTION -> {
                answer.setShort(answer.readerIndex(), answer.getUnsignedShort(answer.readerIndex()) + 1);
                ctx.write(answer, promise);
            }
        }
    }

    @Override
    public void channelInactive(ChannelHandlerContext ctx) {
        ReferenceCountUtil.release(oneBehind);
        oneBehind = null;
        ctx.fireChannelInactive();
    }
}
