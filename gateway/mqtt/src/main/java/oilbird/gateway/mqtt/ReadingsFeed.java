package oilbird.gateway.mqtt;

import io.vertx.core.Vertx;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.BooleanSupplier;
import java.util.function.Supplier;
import oilbird.alarm.station.StationView;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.contract.Written;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.mapping.signal.Indication;
import org.jspecify.annotations.Nullable;

/**
 * What the devices say, one retained message a device with all its readings, their quality and times: sent when
 * something changed, but no more often than the station file allows, and now and then while nothing does.
 *
 * <p>Readings are not events: what changes twice within the spacing is sent once, as it then is, and nothing is made up
 * for after an outage. Lives as long as one connection; used on one event loop only.
 */
final class ReadingsFeed {
    private static final long TICK_MILLIS = 200;
    /** A large station is spread over several ticks, so that alarms never wait behind readings. */
    private static final int DEVICES_A_TICK = 64;

    private static final int MOST_ON_THE_WAY = 256;
    /** Unchanged readings are sent again after so many spacings, with newer times. */
    private static final int UNCHANGED_SPACINGS = 10;

    private final Vertx vertx;
    private final BrokerConnection connection;
    private final String topic;
    private final long spacingNanos;
    private final Forms forms;
    private final Supplier<StationView> view;
    private final GatewayClock clock;
    private final BooleanSupplier allowed;
    private final Map<String, Sent> sent = new HashMap<>();
    private List<String> devices = List.of();
    private int next;
    private final AtomicInteger onTheWay = new AtomicInteger();

    /** What was last sent of a device. */
    private record Sent(StationView.DeviceView view, List<@Nullable Object> said, long at) {}

    private ReadingsFeed(
            Vertx vertx,
            BrokerConnection connection,
            String topic,
            Duration spacing,
            Forms forms,
            Supplier<StationView> view,
            GatewayClock clock,
            BooleanSupplier allowed) {
        this.allowed = allowed;
        this.vertx = vertx;
        this.connection = connection;
        this.topic = topic;
        this.spacingNanos = spacing.toNanos();
        this.forms = forms;
        this.view = view;
        this.clock = clock;
    }

    /**
     * Begins, and ends with the connection.
     *
     * @param topic the device's id is put behind it.
     * @param spacing least time between two messages of one device, on the gateway's clock.
     * @param allowed false while no readings may go out.
     */
    static void over(
            BrokerConnection connection,
            Vertx vertx,
            String topic,
            Duration spacing,
            Forms forms,
            Supplier<StationView> view,
            GatewayClock clock,
            BooleanSupplier allowed) {
        ReadingsFeed feed = new ReadingsFeed(vertx, connection, topic, spacing, forms, view, clock, allowed);
        vertx.setPeriodic(TICK_MILLIS, feed::tick);
    }

    private void tick(long timer) {
        if (!connection.isOpen()) {
            vertx.cancelTimer(timer);
            return;
        }
        if (!allowed.getAsBoolean()) {
            return;
        }
        StationView now = view.get();
        if (devices.size() != now.devices().size()) {
            devices = List.copyOf(now.devices().keySet());
        }
        for (int looked = 0, told = 0;
                looked < devices.size() && told < DEVICES_A_TICK && onTheWay.get() < MOST_ON_THE_WAY;
                looked++) {
            next = (next + 1) % devices.size();
            told += send(devices.get(next), now) ? 1 : 0;
        }
    }

    /** True if there was something to send. */
    private boolean send(String device, StationView now) {
        StationView.DeviceView seen = now.devices().get(device);
        Sent before = sent.get(device);
        long at = clock.now().monotonicNanos();
        if (seen == null || (before != null && at - before.at() < spacingNanos)) {
            return false;
        }
        boolean old = before != null && at - before.at() >= UNCHANGED_SPACINGS * spacingNanos;
        if (before != null && before.view() == seen && !old) {
            return false;
        }
        List<@Nullable Object> said = said(seen);
        if (before != null && before.said().equals(said) && !old) {
            sent.put(device, new Sent(seen, said, before.at()));
            return false;
        }
        sent.put(device, new Sent(seen, said, at));
        forms.readings(device, now).ifPresent(form -> {
            onTheWay.incrementAndGet();
            CompletableFuture<Void> confirmed = connection.publish(topic + device, Written.json(form), true);
            confirmed.whenComplete((done, failed) -> onTheWay.decrementAndGet());
        });
        return true;
    }

    /** All that a receiver would see change, apart from times. */
    private static List<@Nullable Object> said(StationView.DeviceView device) {
        List<@Nullable Object> said = new ArrayList<>();
        for (StationView.TrustedReading trusted : device.readings()) {
            said.add(trusted.reading().number());
            said.add(trusted.reading().text());
            said.add(trusted.reading().reason());
            said.add(trusted.because());
            said.add(trusted.test());
        }
        for (Indication indication : device.indications()) {
            said.add(indication.state());
            said.add(indication.reason());
        }
        said.add(device.words().stream().map(w -> w.bits()).toList());
        return said;
    }
}
