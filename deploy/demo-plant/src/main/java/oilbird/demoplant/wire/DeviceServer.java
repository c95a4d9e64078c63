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
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.SplittableRandom;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicReference;
import java.util.concurrent.locks.LockSupport;
import oilbird.demoplant.wire.Behaviour.Kind;
import org.jspecify.annotations.Nullable;

/** The Modbus TCP server of one monitor, or of several behind one Modbus gateway; on loopback only. */
public final class DeviceServer implements AutoCloseable {
    private static final String LOOPBACK = "127.0.0.1";
    private static final int LONGEST_FRAME = 260;
    private static final int LENGTH_FIELD_OFFSET = 4;
    private static final int LENGTH_FIELD_BYTES = 2;

    private final String name;
    private final Map<Integer, ServedMonitor> byUnit = new LinkedHashMap<>();
    private final EventLoopGroup eventLoops;
    private final ExecutorService workers;
    private final SplittableRandom random;
    private int port;
    private @Nullable ModbusTcpServer server;

    private DeviceServer(
            String name,
            List<ServedMonitor> monitors,
            int port,
            EventLoopGroup eventLoops,
            ExecutorService workers,
            SplittableRandom random) {
        this.name = name;
        this.port = port;
        this.eventLoops = eventLoops;
        this.workers = workers;
        this.random = random;
        monitors.forEach(served -> byUnit.put(served.monitor().unit(), served));
    }

    /**
     * Starts to listen.
     *
     * @param name name of the port, for whoever reads that it is taken
     * @param monitors those behind the port, each with a unit id of its own
     * @param port 0 for any free port, see {@link #port()}
     * @param random gives the bytes of {@link Kind#GARBAGE}
     */
    public static DeviceServer start(
            String name,
            List<ServedMonitor> monitors,
            int port,
            EventLoopGroup eventLoops,
            ExecutorService workers,
            SplittableRandom random)
            throws PortTaken {
        DeviceServer server = new DeviceServer(name, monitors, port, eventLoops, workers, random);
        server.listen();
        return server;
    }

    /** The monitors behind the port. */
    public List<ServedMonitor> monitors() {
        return List.copyOf(byUnit.values());
    }

    /** The port it listens on, or would if it did not refuse. */
    public synchronized int port() {
        return port;
    }

    /**
     * Changes how one monitor treats its clients, from the next request on; {@link Kind#REFUSE} closes every connection
     * of the port.
     *
     * @throws PortTaken when the port was taken by another while this server refused
     */
    public synchronized void behave(ServedMonitor served, Behaviour next) throws PortTaken {
        served.command(next);
        follow();
    }

    /**
     * Closes the port when one of its monitors refuses now, and opens it when none does any more.
     *
     * @throws PortTaken when the port was taken by another while this server refused
     */
    public synchronized void follow() throws PortTaken {
        boolean refuses =
                byUnit.values().stream().anyMatch(served -> served.behaviour().kind() == Kind.REFUSE);
        if (refuses && server != null) {
            stopListening();
            awaitRefusal();
        } else if (!refuses && server == null) {
            listen();
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
                pipeline.addFirst(new BehaviourGate(byUnit, random.split()));
                pipeline.addFirst(
                        new LengthFieldBasedFrameDecoder(LONGEST_FRAME, LENGTH_FIELD_OFFSET, LENGTH_FIELD_BYTES));
            };
        });
        ModbusTcpServer starting = ModbusTcpServer.create(transport, new TablesService(byUnit));
        try {
            starting.start();
        } catch (ExecutionException failure) {
            Throwable cause = failure.getCause();
            throw new PortTaken(name, port, cause == null ? failure : cause);
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
            throw new IllegalStateException("interrupted while starting " + name, interrupted);
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
            throw new IllegalStateException("cannot stop " + name, failure.getCause());
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
        throw new IllegalStateException("port " + port + " of " + name + " still takes connections");
    }
}
