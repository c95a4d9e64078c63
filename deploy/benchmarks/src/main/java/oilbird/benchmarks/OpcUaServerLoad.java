package oilbird.benchmarks;

import static java.util.Objects.requireNonNull;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaMonitoredItem;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaSubscription;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;

/**
 * The OPC UA server with 10,000 alarms on 1,000 devices of 60 points: what it takes to start and to keep, a refresh to five
 * clients, what an event costs a client, a flood with one slow reader among the clients, and what is left of 1,000 clients
 * that came and went. Server and clients are two processes on one machine; the clients are the library's own.
 */
public final class OpcUaServerLoad {
    private static final int DEVICES = 1_000;
    private static final int POINTS = 60;
    private static final int SIGNS = 10;
    private static final int CLIENTS = 5;
    private static final int ACTIVE = 1_000;
    private static final int FLOOD = 10_000;
    private static final int FLOOD_SECONDS = 10;
    private static final int WATCHED = 10_000;

    private OpcUaServerLoad() {}

    /** @param arguments how many clients come and go, 1,000 if not said. */
    public static void main(String[] arguments) throws Exception {
        int visits = arguments.length > 0 ? Integer.parseInt(arguments[0]) : 1_000;
        try (Host without = new Host(DEVICES, POINTS, SIGNS, false);
                Host few = new Host(1, POINTS, SIGNS, true);
                Host fewWithout = new Host(1, POINTS, SIGNS, false)) {
            long engine = without.number("heap");
            long small = few.number("heap") - fewWithout.number("heap");
            without.close();
            few.close();
            fewWithout.close();
            try (Host host = new Host(DEVICES, POINTS, SIGNS, true)) {
                long full = host.number("heap");
                print(
                        "start of the server: %d ms with 10 alarms, %d ms with %,d",
                        few.startMillis, host.startMillis, DEVICES * SIGNS);
                print(
                        "heap: engine alone %.1f MiB, with the server %.1f MiB; the server of 10 alarms takes %.1f MiB,"
                                + " that of %,d takes %.1f MiB: %.2f KiB an alarm",
                        mib(engine),
                        mib(full),
                        mib(small),
                        DEVICES * SIGNS,
                        mib(full - engine),
                        (full - engine - small) / 1024.0 / (DEVICES * SIGNS));
                measure(host, visits);
            }
        }
    }

    private static void measure(Host host, int visits) throws Exception {
        host.order("raise " + ACTIVE);
        List<Room> first = rooms(host);
        refresh(first);
        refresh(first);
        for (Room room : first) {
            room.close();
        }
        long cpu = host.number("cpu");
        host.order("flood " + FLOOD + " " + FLOOD_SECONDS);
        long alone = host.number("cpu") - cpu;
        List<Room> rooms = rooms(host);
        cpu = host.number("cpu");
        flood(host, rooms);
        long watched = host.number("cpu") - cpu;
        print(
                "CPU: flood without clients %.2f s, with %d %.2f s: %.1f us an event and client",
                alone / 1e6, CLIENTS, watched / 1e6, (watched - alone) / (double) (FLOOD * CLIENTS));
        report("flood of " + FLOOD + " in " + FLOOD_SECONDS + " s", rooms);
        try (Room slow = new Room(host.port, 2_000, 20)) {
            rooms.forEach(Room::forget);
            flood(host, rooms);
            report("the same with one slow reader", rooms);
            print("the slow reader got %,d of %,d and an overflow event: %s", slow.count(), FLOOD, slow.overflow);
        }
        for (Room room : rooms) {
            room.close();
        }
        variables(host);
        visits(host, visits);
    }

    private static List<Room> rooms(Host host) throws Exception {
        List<Room> rooms = new ArrayList<>();
        for (int i = 0; i < CLIENTS; i++) {
            rooms.add(new Room(host.port, 50, 0));
        }
        return rooms;
    }

    private static void refresh(List<Room> rooms) throws Exception {
        List<CompletableFuture<Long>> all = new ArrayList<>();
        for (Room room : rooms) {
            all.add(CompletableFuture.supplyAsync(room::refresh));
        }
        List<Long> millis = all.stream().map(CompletableFuture::join).sorted().toList();
        print(
                "refresh of %,d active conditions to %d clients at once: %d to %d ms (%d conditions to each)",
                ACTIVE, rooms.size(), millis.get(0), millis.get(millis.size() - 1), rooms.get(0).refreshed);
    }

    private static void flood(Host host, List<Room> rooms) throws Exception {
        rooms.forEach(Room::forget);
        host.order("flood " + FLOOD + " " + FLOOD_SECONDS);
        long end = System.nanoTime() + TimeUnit.SECONDS.toNanos(60);
        while (rooms.stream().anyMatch(r -> r.count() < FLOOD) && System.nanoTime() < end) {
            TimeUnit.MILLISECONDS.sleep(20);
        }
    }

    private static void report(String what, List<Room> rooms) {
        for (Room room : rooms) {
            long[] late = room.late();
            Arrays.sort(late);
            print(
                    "%s: client got %,d, from the event's time to the client median %d ms, p99 %d ms, longest %d ms",
                    what, late.length, at(late, 0.5), at(late, 0.99), at(late, 1));
        }
    }

    private static long at(long[] sorted, double share) {
        return sorted.length == 0 ? -1 : sorted[(int) Math.min(sorted.length - 1, share * sorted.length)];
    }

    private static void variables(Host host) throws Exception {
        long before = host.number("heap");
        OpcUaClient client = client(host.port);
        UShort index = requireNonNull(client.getNamespaceTable().getIndex("urn:oilbird:station:windlow"));
        OpcUaSubscription subscription = new OpcUaSubscription(client);
        subscription.setPublishingInterval(1_000.0);
        subscription.create();
        AtomicInteger values = new AtomicInteger();
        List<OpcUaMonitoredItem> items = new ArrayList<>();
        for (int i = 0; i < WATCHED; i++) {
            OpcUaMonitoredItem item = OpcUaMonitoredItem.newDataItem(
                    new NodeId(index, "reading/m" + i / POINTS + "/point-" + i % POINTS));
            item.setSamplingInterval(1_000.0);
            item.setDataValueListener((of, value) -> values.incrementAndGet());
            items.add(item);
        }
        long begun = System.nanoTime();
        for (int from = 0; from < WATCHED; from += 1_000) {
            subscription.addMonitoredItems(items.subList(from, from + 1_000));
            subscription.createMonitoredItems();
        }
        while (values.get() < WATCHED) {
            TimeUnit.MILLISECONDS.sleep(20);
        }
        long millis = (System.nanoTime() - begun) / 1_000_000;
        long after = host.number("heap");
        print(
                "watching %,d of %,d variables: first values after %d ms, %.2f KiB a watched variable, none for the others",
                WATCHED, DEVICES * POINTS, millis, (after - before) / 1024.0 / WATCHED);
        client.disconnect();
    }

    private static void visits(Host host, int visits) throws Exception {
        client(host.port).disconnect();
        long before = host.number("heap");
        long begun = System.nanoTime();
        for (int i = 0; i < visits; i++) {
            try (Room room = new Room(host.port, 1_000, 0)) {
                room.refreshed = i;
            }
        }
        double seconds = (System.nanoTime() - begun) / 1e9;
        TimeUnit.SECONDS.sleep(2);
        long after = host.number("heap");
        print(
                "%,d clients came, watched events and went in %.0f s: heap %.1f MiB before, %.1f MiB after; %s",
                visits, seconds, mib(before), mib(after), host.order("load"));
    }

    private static double mib(long bytes) {
        return bytes / 1024.0 / 1024.0;
    }

    private static void print(String format, Object... values) {
        System.out.println(String.format(Locale.ROOT, format, values));
    }

    private static OpcUaClient client(int port) throws Exception {
        OpcUaClient client = OpcUaClient.create("opc.tcp://127.0.0.1:" + port + "/oilbird");
        client.connect();
        return client;
    }

    /** The server's process. */
    private static final class Host implements AutoCloseable {
        final int port;
        final long startMillis;
        private final Process process;
        private final BufferedReader answers;
        private final PrintStream orders;

        Host(int devices, int points, int signs, boolean with) throws IOException {
            try (ServerSocket socket = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
                port = socket.getLocalPort();
            }
            Path data = Files.createTempDirectory("oilbird-opcua");
            process = new ProcessBuilder(
                            Path.of(System.getProperty("java.home"), "bin", "java")
                                    .toString(),
                            "-XX:+UseSerialGC",
                            "-Xmx512m",
                            "-cp",
                            System.getProperty("java.class.path"),
                            "oilbird.benchmarks.OpcUaAlarmHost",
                            Integer.toString(port),
                            Integer.toString(devices),
                            Integer.toString(points),
                            Integer.toString(signs),
                            data.toString(),
                            with ? "with" : "without")
                    .redirectError(ProcessBuilder.Redirect.INHERIT)
                    .start();
            answers = new BufferedReader(new InputStreamReader(process.getInputStream(), StandardCharsets.UTF_8));
            orders = new PrintStream(process.getOutputStream(), true, StandardCharsets.UTF_8);
            startMillis = Long.parseLong(answer().split(" ")[1]);
        }

        private String answer() throws IOException {
            String line = answers.readLine();
            if (line == null) {
                throw new IOException("the server has ended");
            }
            return line;
        }

        String order(String line) throws IOException {
            orders.println(line);
            return answer();
        }

        long number(String line) throws IOException {
            return Long.parseLong(order(line).split(" ")[1]);
        }

        @Override
        public void close() {
            orders.println("end");
            process.destroy();
            process.onExit().join();
        }
    }

    /** A control room that watches all events. */
    private static final class Room implements AutoCloseable {
        private final OpcUaClient client;
        private final OpcUaSubscription subscription;
        private final List<Long> late = new ArrayList<>();
        private volatile CountDownLatch refreshing = new CountDownLatch(0);
        private volatile boolean inRefresh;
        volatile int refreshed;
        volatile boolean overflow;

        /** @param atOnce the most events in one message; 0 for as many as there are. */
        Room(int port, double publishing, int atOnce) throws Exception {
            client = client(port);
            NodeId station = new NodeId(
                    requireNonNull(client.getNamespaceTable().getIndex("urn:oilbird:station:windlow")), "station");
            subscription = new OpcUaSubscription(client);
            subscription.setPublishingInterval(publishing);
            subscription.setMaxNotificationsPerPublish(UInteger.valueOf(atOnce));
            subscription.create();
            SimpleAttributeOperand[] select = {
                new SimpleAttributeOperand(NodeIds.ConditionType, new QualifiedName[0], AttributeId.NodeId.uid(), null),
                field("EventType"),
                field("Time"),
                field("EventId"),
                field("SourceName"),
                field("Message"),
                field("Severity"),
                field("Retain"),
                field("Quality"),
                field("ActiveState", "Id"),
                field("AckedState", "Id"),
                field("ShelvingState", "CurrentState", "Id")
            };
            OpcUaMonitoredItem item = OpcUaMonitoredItem.newEventItem(
                    station, new EventFilter(select, new ContentFilter(new ContentFilterElement[0])));
            item.setQueueSize(UInteger.valueOf(atOnce == 0 ? 10_000 : 1_000));
            item.setEventValueListener((of, values) -> took(values));
            subscription.addMonitoredItem(item);
            subscription.synchronizeMonitoredItems();
        }

        private static SimpleAttributeOperand field(String... path) {
            return new SimpleAttributeOperand(
                    NodeIds.BaseEventType,
                    Arrays.stream(path).map(p -> new QualifiedName(0, p)).toArray(QualifiedName[]::new),
                    AttributeId.Value.uid(),
                    null);
        }

        private void took(Variant[] values) {
            Object type = values[1].value();
            if (NodeIds.RefreshStartEventType.equals(type)) {
                inRefresh = true;
                refreshed = 0;
            } else if (NodeIds.RefreshEndEventType.equals(type)) {
                inRefresh = false;
                refreshing.countDown();
            } else if (NodeIds.EventQueueOverflowEventType.equals(type)) {
                overflow = true;
            } else if (values[0].value() != null) {
                if (inRefresh) {
                    refreshed++;
                } else if (values[2].value() instanceof DateTime time) {
                    synchronized (late) {
                        late.add(System.currentTimeMillis() - time.getJavaTime());
                    }
                }
            }
        }

        void forget() {
            synchronized (late) {
                late.clear();
            }
        }

        int count() {
            synchronized (late) {
                return late.size();
            }
        }

        long[] late() {
            synchronized (late) {
                return late.stream().mapToLong(Long::longValue).toArray();
            }
        }

        /** Milliseconds from the call to the end of the refresh. */
        long refresh() {
            try {
                refreshing = new CountDownLatch(1);
                long begun = System.nanoTime();
                var result = requireNonNull(client.call(List.of(new CallMethodRequest(
                                NodeIds.ConditionType, NodeIds.ConditionType_ConditionRefresh, new Variant[] {
                                    new Variant(subscription.getSubscriptionId().orElseThrow())
                                })))
                        .getResults())[0];
                if (result.getStatusCode().isBad() || !refreshing.await(60, TimeUnit.SECONDS)) {
                    throw new IllegalStateException("the refresh did not end: " + result.getStatusCode());
                }
                return (System.nanoTime() - begun) / 1_000_000;
            } catch (Exception e) {
                throw new IllegalStateException(e);
            }
        }

        @Override
        public void close() throws Exception {
            client.disconnect();
        }
    }
}
