package oilbird.gateway.opcua;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.poll.Notice;
import oilbird.gateway.engine.poll.Waits;
import oilbird.gateway.engine.queue.InputSink;
import oilbird.gateway.opcua.trust.OwnCertificateFolder;
import oilbird.gateway.opcua.trust.ServerCheck;
import oilbird.gateway.opcua.trust.TrustFolder;

/** Follows the OPC UA servers of one station and offers every outcome to the engine. */
public final class OpcUaPoller implements AutoCloseable {
    private static final long CLOSE_WITHIN = TimeUnit.SECONDS.toNanos(2);

    private final List<Follower> followers = new ArrayList<>();

    /**
     * @param data the gateway's data folder; its {@code opc-ua} holds the certificates, its {@code secrets} the
     *     passwords.
     * @param gateway id of the gateway in the station file.
     * @param sink takes every outcome; called from the poller's threads.
     * @param clock stamps outcomes only; intervals run on the machine's own monotonic clock.
     * @param notices is told once of what an engineer should know; called from the poller's threads, must not block.
     */
    public OpcUaPoller(
            List<OpcUaDevice> devices,
            Path data,
            String gateway,
            InputSink sink,
            GatewayClock clock,
            Waits waits,
            Consumer<Notice> notices) {
        if (devices.isEmpty()) {
            return;
        }
        Path folder = data.resolve("opc-ua");
        // Made only when a thread needs it: making a key takes longer than a start may.
        OwnCertificateFolder own = new OwnCertificateFolder(folder, gateway);
        ServerCheck check =
                new ServerCheck(new TrustFolder(folder), () -> clock.now().wallTrusted());
        Path secrets = data.resolve("secrets");
        Set<String> names = new HashSet<>();
        for (OpcUaDevice device : devices) {
            if (!names.add(device.device())) {
                throw new IllegalArgumentException("two devices are named " + device.device());
            }
            followers.add(new Follower(device, own, check, secrets, sink, clock, waits, notices));
        }
    }

    /** Starts one daemon thread a server; returns at once. Call it once. */
    public void start() {
        followers.forEach(Follower::start);
    }

    /** One entry a device, in the order of the devices. */
    public List<ServerStatus> status() {
        return followers.stream().map(Follower::status).toList();
    }

    /** Stops following and closes every session; waits at most two seconds for the threads to end. */
    @Override
    public void close() {
        followers.forEach(Follower::stop);
        long deadline = System.nanoTime() + CLOSE_WITHIN;
        try {
            for (Follower follower : followers) {
                follower.join(Math.max(1, TimeUnit.NANOSECONDS.toMillis(deadline - System.nanoTime())));
            }
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
        }
    }
}
