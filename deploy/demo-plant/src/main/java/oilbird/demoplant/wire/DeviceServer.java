package oilbird.demoplant.wire;

import com.digitalpetri.modbus.server.ModbusTcpServer;
import com.digitalpetri.modbus.tcp.server.NettyTcpServerTransport;
import io.netty.channel.Channel;
import io.netty.channel.ChannelHandlerContext;
import io.netty.channel.ChannelInboundHandlerAdapter;
import io.netty.channel.EventLoopGroup;
import io.netty.handler.codec.LengthFieldBasedFrameDecoder;
import java.io.IOException;
import java.net.InetSocketAddress;
import java.net.Socket;
import java.util.Objects;
import java.util.SplittableRandom;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicReference;
import java.util.concurrent.locks.LockSupport;
import oilbird.demoplant.device.Monitor;
import oilbird.demoplant.wire.Behaviour.Kind;
import org.jspecify.annotations.Nullable;

/** The Modbus TCP server of one monitor, on loopback only. */
public final class DeviceServer implements AutoCloseable {
    private static final String LOOPBACK = "127.0.0.1";
    private static final int LONGEST_FRAME = 260;
    private static final int LENGTH_FIELD_OFFSET = 4;
    private static final int LENGTH_FIELD_BYTES = 2;

    private final Monitor monitor;
    private final EventLoopGroup eventLoops;
    private final ExecutorService workers;
    private final SplittableRandom random;
    private final Identification identification;
    private volatile Behaviour behaviour = Behaviour.NORMAL;
    private int port;
    private @Nullable ModbusTcpServer server;

    private DeviceServer(
            Monitor monitor, int port, EventLoopGroup eventLoops, ExecutorService workers, SplittableRandom random) {
        this.monitor = monitor;
        this.port = port;
        this.eventLoops = eventLoops;
        this.workers = workers;
        this.random = random;
        this.identification = new Identification(monitor.nameplate());
    }

    /**
     * Starts to listen.
     *
     * @param port 0 for any free port, see {@link #port()}
     * @param random gives the bytes of {@link Kind#GARBAGE}
     */
    public static DeviceServer start(
            Monitor monitor, int port, EventLoopGroup eventLoops, ExecutorService workers, SplittableRandom random)
            throws PortTaken {
        DeviceServer server = new DeviceServer(monitor, port, eventLoops, workers, random);
        server.listen();
        return server;
    }

    /** The monitor served. */
    public Monitor monitor() {
        return monitor;
    }

    /** The port it listens on, or would if it did not refuse. */
    public synchronized int port() {
        return port;
    }

    public Behaviour behaviour() {
        return behaviour;
    }

    /**
     * Changes how clients are treated, from the next request on; {@link Kind#REFUSE} also closes every connection.
     *
     * @throws PortTaken when the port was taken by another while this server refused
     */
    public synchronized void behave(Behaviour next) throws PortTaken {
        if (next.kind() == Kind.REFUSE) {
            behaviour = next;
            stopListening();
            awaitRefusal();
        } else {
            if (server == null) {
                listen();
            }
            behaviour = next;
        }
    }

    @Override
    public synchronized void close() {
        stopListening();
    }

    private synchronized void listen() throws PortTaken {
        AtomicReference<Channel> listening = new AtomicReference<>();
        NettyTcpServerTransport transport = NettyTcpServerTransport.create(config -> {
            config.bindAddress = LOOPBACK;
            config.port = port;
            config.eventLoopGroup = eventLoops;
            config.executor = workers;
            config.bootstrapCustomizer = bootstrap -> bootstrap.handler(new ChannelInboundHandlerAdapter() {
                @Override
                public void handlerAdded(ChannelHandlerContext ctx) {
                    listening.set(ctx.channel());
                }
            });
            config.pipelineCustomizer = pipeline -> {
                pipeline.addFirst(new BehaviourGate(monitor.unit(), identification, this::behaviour, random.split()));
                pipeline.addFirst(
                        new LengthFieldBasedFrameDecoder(LONGEST_FRAME, LENGTH_FIELD_OFFSET, LENGTH_FIELD_BYTES));
            };
        });
        ModbusTcpServer starting = ModbusTcpServer.create(transport, new TablesService(monitor));
        try {
            starting.start();
        } catch (ExecutionException failure) {
            Throwable cause = failure.getCause();
            throw new PortTaken(monitor.name(), port, cause == null ? failure : cause);
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
            throw new IllegalStateException("interrupted while starting " + monitor.name(), interrupted);
        }
        server = starting;
        Channel bound = Objects.requireNonNull(listening.get(), "the listening channel");
        port = ((InetSocketAddress) bound.localAddress()).getPort();
    }

    private void stopListening() {
        ModbusTcpServer running = server;
        server = null;
        if (running == null) {
            return;
        }
        try {
            running.stop();
        } catch (ExecutionException failure) {
            throw new IllegalStateException("cannot stop " + monitor.name(), failure.getCause());
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
        }
    }

    /** The system goes on taking connections for a moment, until the selector has let go of the closed channel. */
    private void awaitRefusal() {
        long deadline = System.nanoTime() + TimeUnit.SECONDS.toNanos(5);
        while (System.nanoTime() < deadline) {
            try (Socket probe = new Socket(LOOPBACK, port)) {
                LockSupport.parkNanos(TimeUnit.MILLISECONDS.toNanos(1));
            } catch (IOException refused) {
                return;
            }
        }
        throw new IllegalStateException("port " + port + " of " + monitor.name() + " still takes connections");
    }
}
