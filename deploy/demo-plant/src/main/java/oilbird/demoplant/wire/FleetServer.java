package oilbird.demoplant.wire;

import io.netty.bootstrap.ServerBootstrap;
import io.netty.buffer.ByteBuf;
import io.netty.channel.Channel;
import io.netty.channel.ChannelHandlerContext;
import io.netty.channel.ChannelInitializer;
import io.netty.channel.ChannelOption;
import io.netty.channel.EventLoopGroup;
import io.netty.channel.SimpleChannelInboundHandler;
import io.netty.channel.nio.NioEventLoopGroup;
import io.netty.channel.socket.SocketChannel;
import io.netty.channel.socket.nio.NioServerSocketChannel;
import io.netty.handler.codec.LengthFieldBasedFrameDecoder;
import io.netty.util.concurrent.DefaultThreadFactory;
import java.net.InetSocketAddress;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.LongAdder;

/**
 * Many alike monitors for measurements, served as cheaply as possible from one thread.
 *
 * <p>Device {@code d} (from 0) answers on {@link #port(int)} under unit id {@link #unit(int)}: {@value
 * #UNITS_PER_PORT} devices share a port, since a unit id is one byte; any number of connections may ask any of them.
 * Functions 03 and 04 read the same table: register 0 is the status word, registers 1 to {@value #READINGS} are
 * readings that change a little with every answer.
 */
public final class FleetServer implements AutoCloseable {
    /** Devices that share one port. */
    public static final int UNITS_PER_PORT = 200;
    /** Readings of each device, one register each. */
    public static final int READINGS = 60;

    private static final String LOOPBACK = "127.0.0.1";
    private static final int HEADER = 7;
    private static final int LONGEST_FRAME = 260;

    private final EventLoopGroup eventLoop = new NioEventLoopGroup(1, new DefaultThreadFactory("fleet", true));
    private final List<Channel> listening = new ArrayList<>();
    private final List<Device> devices = new ArrayList<>();
    private final LongAdder answers = new LongAdder();

    private FleetServer(int deviceCount) {
        for (int device = 0; device < deviceCount; device++) {
            devices.add(new Device(device));
        }
    }

    /**
     * Starts to listen on loopback.
     *
     * @param devices how many devices
     * @param port first port, one more for each {@value #UNITS_PER_PORT} devices; 0 for any free ports
     */
    public static FleetServer start(int devices, int port) throws PortTaken {
        return start(devices, port, LOOPBACK);
    }

    /**
     * Starts to listen on another address than loopback: for measurements with a connection to each device, 0.0.0.0
     * lets each be reached under a loopback address of its own (127.0.0.0/8).
     */
    public static FleetServer start(int devices, int port, String address) throws PortTaken {
        if (devices < 1) {
            throw new IllegalArgumentException("a fleet needs a device");
        }
        FleetServer fleet = new FleetServer(devices);
        int listeners = (devices + UNITS_PER_PORT - 1) / UNITS_PER_PORT;
        for (int listener = 0; listener < listeners; listener++) {
            int wanted = port == 0 ? 0 : port + listener;
            try {
                fleet.listening.add(fleet.listen(listener, address, wanted));
            } catch (PortTaken taken) {
                fleet.close();
                throw taken;
            }
        }
        return fleet;
    }

    /** How many devices there are. */
    public int deviceCount() {
        return devices.size();
    }

    /** Port on which a device answers. */
    public int port(int device) {
        return ((InetSocketAddress) listening.get(device / UNITS_PER_PORT).localAddress()).getPort();
    }

    /** Unit id under which a device answers, 1 to {@value #UNITS_PER_PORT}. */
    public int unit(int device) {
        return device % UNITS_PER_PORT + 1;
    }

    /** Answers sent since the start, exceptions included. */
    public long answers() {
        return answers.sum();
    }

    /**
     * Sets or clears one bit of a device's status word from its next answer on that covers the word; several flips of one
     * device take one answer each, in order, so that none is lost between two answers.
     *
     * @param bit 0 to 15, 0 the least significant
     * @return completes with {@link System#nanoTime()} taken just before the first answer that carries the changed word
     *     is handed to the socket; on Linux that clock is the same for all processes of the machine
     */
    public CompletableFuture<Long> flip(int device, int bit, boolean on) {
        if (bit < 0 || bit > 15) {
            throw new IllegalArgumentException("bit " + bit + " is outside a 16-bit word");
        }
        Device flipped = devices.get(device);
        Flip flip = new Flip(bit, on, new CompletableFuture<>());
        flipped.flips.add(flip);
        return flip.left();
    }

    /** As {@link #flip(int, int, boolean)}, after a delay. */
    public CompletableFuture<Long> flipAfter(long delay, TimeUnit unit, int device, int bit, boolean on) {
        CompletableFuture<Long> left = new CompletableFuture<>();
        eventLoop.schedule(() -> flip(device, bit, on).thenAccept(left::complete), delay, unit);
        return left;
    }

    @Override
    public void close() {
        eventLoop.shutdownGracefully(0, 2, TimeUnit.SECONDS).awaitUninterruptibly();
    }

    private Channel listen(int listener, String address, int port) throws PortTaken {
        var bound = new ServerBootstrap()
                .group(eventLoop)
                .channel(NioServerSocketChannel.class)
                .option(ChannelOption.SO_REUSEADDR, true)
                .option(ChannelOption.SO_BACKLOG, 1_024)
                .childOption(ChannelOption.TCP_NODELAY, true)
                .childHandler(new ChannelInitializer<SocketChannel>() {
                    @Override
                    protected void initChannel(SocketChannel channel) {
                        channel.pipeline()
                                .addLast(new LengthFieldBasedFrameDecoder(LONGEST_FRAME, 4, 2))
                                .addLast(new Answering(listener));
                    }
                })
                .bind(address, port)
                .awaitUninterruptibly();
        if (!bound.isSuccess()) {
            throw new PortTaken("fleet", port, bound.cause());
        }
        return bound.channel();
    }

    private record Flip(int bit, boolean on, CompletableFuture<Long> left) {}

    /** One device; its registers are touched by the one event loop thread only. */
    private static final class Device {
        private final short[] registers = new short[1 + READINGS];
        private final ConcurrentLinkedQueue<Flip> flips = new ConcurrentLinkedQueue<>();
        private int answered;

        Device(int number) {
            for (int i = 1; i <= READINGS; i++) {
                registers[i] = (short) (1_000 + 7 * i + number % 100);
            }
        }
    }

    private final class Answering extends SimpleChannelInboundHandler<ByteBuf> {
        private final int firstDevice;

        Answering(int listener) {
            firstDevice = listener * UNITS_PER_PORT;
        }

        @Override
        protected void channelRead0(ChannelHandlerContext ctx, ByteBuf frame) {
            int at = frame.readerIndex();
            if (frame.readableBytes() < HEADER + 1) {
                return;
            }
            int unit = frame.getUnsignedByte(at + 6);
            int device = firstDevice + unit - 1;
            if (unit < 1 || unit > UNITS_PER_PORT || device >= devices.size()) {
                return;
            }
            int function = frame.getUnsignedByte(at + HEADER);
            int exception = refusal(frame, at, function);
            answers.increment();
            if (exception != 0) {
                ByteBuf answer = ctx.alloc().buffer(HEADER + 2);
                answer.writeBytes(frame, at, 4).writeShort(3).writeByte(unit);
                ctx.writeAndFlush(answer.writeByte(function | 0x80).writeByte(exception));
                return;
            }
            answer(ctx, frame, at, devices.get(device), unit, function);
        }

        private int refusal(ByteBuf frame, int at, int function) {
            if (function != 3 && function != 4) {
                return 1;
            }
            if (frame.readableBytes() != HEADER + 5) {
                return 3;
            }
            int address = frame.getUnsignedShort(at + HEADER + 1);
            int quantity = frame.getUnsignedShort(at + HEADER + 3);
            if (quantity < 1 || quantity > 125) {
                return 3;
            }
            return address + quantity > 1 + READINGS ? 2 : 0;
        }

        private void answer(ChannelHandlerContext ctx, ByteBuf frame, int at, Device device, int unit, int function) {
            int address = frame.getUnsignedShort(at + HEADER + 1);
            int quantity = frame.getUnsignedShort(at + HEADER + 3);
            Flip flip = address == 0 ? device.flips.poll() : null;
            if (flip != null) {
                int mask = 1 << flip.bit();
                device.registers[0] = (short) (flip.on() ? device.registers[0] | mask : device.registers[0] & ~mask);
            }
            device.answered++;
            device.registers[1 + device.answered % READINGS] ^= 1;
            ByteBuf answer = ctx.alloc().buffer(HEADER + 2 + 2 * quantity);
            answer.writeBytes(frame, at, 4).writeShort(3 + 2 * quantity).writeByte(unit);
            answer.writeByte(function).writeByte(2 * quantity);
            for (int i = 0; i < quantity; i++) {
                answer.writeShort(device.registers[address + i]);
            }
            long leaving = System.nanoTime();
            ctx.writeAndFlush(answer);
            if (flip != null) {
                flip.left().complete(leaving);
            }
        }
    }
}
