package oilbird.gateway.mqtt;

import io.vertx.core.Vertx;
import java.time.Duration;
import java.util.HashMap;
import java.util.Map;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.BooleanSupplier;
import oilbird.gateway.contract.PointForm;
import oilbird.gateway.contract.Written;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.points.PointSubject;
import oilbird.gateway.points.PointValue;

/**
 * Sends the points of a link over one connection, retained, whenever they say something else; all of them once the
 * connection is there. Alarms wait for no reading: a reading is sent no more often than the link's spacing.
 */
final class PointsFeed {
    private static final long TICK_MILLIS = 250;
    private static final int MOST_ON_THE_WAY = 64;
    private static final Duration LEAST_SPACING = Duration.ofSeconds(1);

    private final BrokerConnection connection;
    private final String topic;
    private final String station;
    private final PointFeed points;
    private final long spacingNanos;
    private final GatewayClock clock;
    private final BooleanSupplier readingsAllowed;
    private final AtomicInteger onTheWay = new AtomicInteger();
    private final Map<String, Sent> sent = new HashMap<>();

    private record Sent(PointValue value, long at) {}

    /**
     * @param topic the point's address is put behind it.
     * @param spacing least time between two messages of one reading, on the gateway's clock; at least 1 s.
     * @param readingsAllowed false while no readings may go out.
     */
    PointsFeed(
            BrokerConnection connection,
            String topic,
            String station,
            PointFeed points,
            Duration spacing,
            GatewayClock clock,
            BooleanSupplier readingsAllowed) {
        this.connection = connection;
        this.topic = topic;
        this.station = station;
        this.points = points;
        this.spacingNanos = (spacing.compareTo(LEAST_SPACING) < 0 ? LEAST_SPACING : spacing).toNanos();
        this.clock = clock;
        this.readingsAllowed = readingsAllowed;
    }

    /** Ends with the connection. */
    void begin(Vertx vertx) {
        vertx.setPeriodic(TICK_MILLIS, timer -> tick(vertx, timer));
    }

    private void tick(Vertx vertx, long timer) {
        if (!connection.isOpen()) {
            vertx.cancelTimer(timer);
            return;
        }
        long now = clock.now().monotonicNanos();
        for (PointValue value : points.now().values()) {
            if (onTheWay.get() >= MOST_ON_THE_WAY) {
                return; // what is left comes with the next tick
            }
            String address = value.point().address();
            Sent before = sent.get(address);
            if (before != null && (before.value().saysTheSame(value) || waits(value, before, now))) {
                continue;
            }
            sent.put(address, new Sent(value, now));
            onTheWay.incrementAndGet();
            CompletableFuture<Void> confirmed =
                    connection.publish(topic + level(address), Written.json(PointForm.of(station, value)), true);
            confirmed.whenComplete((done, failed) -> onTheWay.decrementAndGet());
        }
    }

    private boolean waits(PointValue value, Sent before, long now) {
        boolean reading = value.point().subject() instanceof PointSubject.OfReading;
        return reading && (now - before.at() < spacingNanos || !readingsAllowed.getAsBoolean());
    }

    /** An address may have what MQTT keeps for its wildcards. */
    static String level(String address) {
        return address.replace("%", "%25").replace("+", "%2B").replace("#", "%23");
    }
}
