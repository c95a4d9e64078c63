package oilbird.gateway.mqtt;

import io.vertx.core.Vertx;
import java.io.IOException;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.atomic.LongAdder;
import java.util.function.BooleanSupplier;
import java.util.function.Supplier;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationView;
import oilbird.gateway.contract.EventForm;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.contract.GatewayForm;
import oilbird.gateway.contract.MessageText;
import oilbird.gateway.contract.Written;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.LinkFilter;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.station.MqttLinkSettings;
import oilbird.mapping.signal.Moment;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * A link to an MQTT 3.1.1 broker. Under the root topic of the station file:
 *
 * <ul>
 *   <li>{@code event}: every alarm event in order, QoS 1; a receiver removes repetitions by event id;
 *   <li>{@code notice}: what an engineer should know and an operator need not;
 *   <li>{@code alarm/<asset>/<rule>}: how the alarm stands now, retained, its normal state included;
 *   <li>{@code diagnosis}, {@code keep-away}: what is made of it, and from what people are to keep away;
 *   <li>{@code readings/<device>}: what the device says, with quality and times, retained; where the station file asks
 *       for it;
 *   <li>{@code point/<address>}: each point of the control room's list, retained, where the link has one;
 *   <li>{@code gateway}: whether the gateway is there, retained; the last will says that it is not.
 * </ul>
 *
 * <p>An event counts as confirmed only after the broker's PUBACK of the event and of the state after it. States
 * are taken from the present view rather than from the event, so that a late event never sets a state back;
 * on each connect they are all sent again, since a broker may have lost what it retained.
 */
public final class MqttLink implements Link {
    private static final Logger LOG = Logger.getLogger(MqttLink.class);
    /** States that are on their way at once while they are all sent again. */
    private static final int STATES_AT_ONCE = 256;
    /** How long to wait for the broker to answer a connect or a publish. */
    private static final Duration PATIENCE = Duration.ofSeconds(10);

    private final MqttLinkSettings settings;
    private final CompletableFuture<Vertx> vertx;
    private final Forms forms;
    private final Supplier<StationView> view;
    private final GatewayClock clock;

    private final @Nullable MessageText message;
    private final LinkFilter only;
    private final LongAdder sent = new LongAdder();
    private volatile BooleanSupplier readingsAllowed = () -> true;

    private @Nullable PointFeed points;

    private @Nullable BrokerConnection connection;
    /** Newest event of the state that this connection has last been given. */
    private final Map<AlarmId, String> stateSent = new HashMap<>();

    /**
     * @param vertx on whose event loop the connection runs; opening waits for it.
     * @param view the station as last committed.
     */
    public MqttLink(
            MqttLinkSettings settings,
            CompletableFuture<Vertx> vertx,
            Forms forms,
            Supplier<StationView> view,
            GatewayClock clock) {
        this(settings, vertx, forms, view, clock, null, LinkFilter.NONE);
    }

    /**
     * @param vertx on whose event loop the connection runs; opening waits for it.
     * @param view the station as last committed.
     * @param message the text that goes with alarm events; null for none.
     * @param only of which alarms the retained states go out; events are filtered before they come here.
     */
    public MqttLink(
            MqttLinkSettings settings,
            CompletableFuture<Vertx> vertx,
            Forms forms,
            Supplier<StationView> view,
            GatewayClock clock,
            @Nullable MessageText message,
            LinkFilter only) {
        this.message = message;
        this.only = only;
        this.settings = settings;
        this.vertx = vertx;
        this.forms = forms;
        this.view = view;
        this.clock = clock;
    }

    /** The same link, which serves these points too. */
    public MqttLink serving(PointFeed of) {
        points = of;
        return this;
    }

    @Override
    public String id() {
        return settings.id();
    }

    @Override
    public boolean keepsOrder() {
        return true;
    }

    @Override
    public long bytesSent() {
        return sent.sum();
    }

    @Override
    public void readingsAllowed(BooleanSupplier allowed) {
        readingsAllowed = allowed;
    }

    @Override
    public boolean isOpen() {
        BrokerConnection open = connection;
        return open != null && open.isOpen();
    }

    @Override
    public void open() throws IOException {
        if (connection != null) {
            return;
        }
        BrokerConnection.await(vertx, PATIENCE);
        Moment now = clock.now();
        BrokerConnection opened = BrokerConnection.open(
                settings, PATIENCE, vertx.join(), gatewayTopic(), Written.json(lifeSign(false, now)), sent);
        try {
            stateSent.clear();
            BrokerConnection.await(opened.publish(gatewayTopic(), Written.json(lifeSign(true, now)), true), PATIENCE);
            sendAllStates(opened);
        } catch (IOException e) {
            opened.close();
            throw e;
        }
        connection = opened;
        PointFeed served = points;
        if (served != null) {
            new PointsFeed(
                            opened,
                            settings.topic() + "/point/",
                            forms.station().id(),
                            served,
                            settings.readingsEvery(),
                            clock,
                            () -> readingsAllowed.getAsBoolean())
                    .begin(vertx.join());
        }
        if (!settings.readingsEvery().isZero()) {
            ReadingsFeed.over(
                    opened,
                    vertx.join(),
                    settings.topic() + "/readings/",
                    settings.readingsEvery(),
                    forms,
                    view,
                    clock,
                    () -> readingsAllowed.getAsBoolean());
        }
    }

    private void sendAllStates(BrokerConnection opened) throws IOException {
        StationView now = view.get();
        List<CompletableFuture<Void>> onTheWay = new ArrayList<>();
        for (StationView.AlarmView alarm : now.alarms().values()) {
            AlarmState state = alarm.state();
            if (state.occurrence() > 0 || state.suppressed() || !state.enabled()) {
                onTheWay.add(sendState(opened, alarm, now));
            }
            if (onTheWay.size() == STATES_AT_ONCE) {
                awaitAll(onTheWay);
            }
        }
        awaitAll(onTheWay);
    }

    private void awaitAll(List<CompletableFuture<Void>> onTheWay) throws IOException {
        for (CompletableFuture<Void> confirmation : onTheWay) {
            BrokerConnection.await(confirmation, PATIENCE);
        }
        onTheWay.clear();
    }

    @Override
    public CompletionStage<Void> send(RecordedEvent event) throws IOException {
        BrokerConnection open = connection;
        if (open == null) {
            throw new IOException("the link is not open");
        }
        StationView now = view.get();
        EventForm plain = forms.event(event, now);
        EventForm form = message == null ? plain : message.onto(plain);
        if (!(event.event() instanceof StationEvent.OfAlarm ofAlarm)) {
            CompletableFuture<Void> told =
                    open.publish(settings.topic() + topicOf(event.event()), Written.json(form), false);
            return CompletableFuture.allOf(told, sendConcerned(open, event.event(), now));
        }
        CompletableFuture<Void> eventConfirmed = open.publish(settings.topic() + "/event", Written.json(form), false);
        AlarmId id = ofAlarm.event().alarm();
        StationView.AlarmView alarm = Forms.atLeast(now, ofAlarm);
        boolean ofTest = ofAlarm.event().kind() == AlarmEvent.Kind.TEST_FORCED
                || ofAlarm.event().kind() == AlarmEvent.Kind.TEST_ENDED;
        if (alarm == null || (alarm.state().lastEvent().equals(stateSent.get(id)) && !ofTest)) {
            return eventConfirmed;
        }
        return CompletableFuture.allOf(eventConfirmed, sendState(open, alarm, now));
    }

    private CompletableFuture<Void> sendState(BrokerConnection open, StationView.AlarmView alarm, StationView now) {
        AlarmId id = alarm.state().id();
        if (!only.passesState(id, alarm.rule().policy().alarmClass())) {
            return CompletableFuture.completedFuture(null);
        }
        stateSent.put(id, alarm.state().lastEvent());
        return open.publish(
                settings.topic() + "/alarm/" + id.asset() + "/" + id.rule(),
                Written.json(forms.outgoing(alarm, now)),
                true);
    }

    private static String topicOf(StationEvent event) {
        if (event instanceof StationEvent.Diagnosed) {
            return "/diagnosis";
        }
        if (event instanceof StationEvent.Accessed) {
            return "/access";
        }
        if (event instanceof StationEvent.FaultFinding) {
            return "/fault-finding";
        }
        return event instanceof StationEvent.KeptAway ? "/keep-away" : "/notice";
    }

    /** States of alarms that had no event and read otherwise all the same. */
    private CompletableFuture<Void> sendConcerned(BrokerConnection open, StationEvent event, StationView now) {
        if (event instanceof StationEvent.KeptAway keptAway) {
            return sendAgain(open, List.of(keptAway.asset()), now);
        }
        if (event instanceof StationEvent.Diagnosed diagnosed) {
            return sendAgain(open, diagnosed.assets(), now);
        }
        return event instanceof StationEvent.Notice notice
                ? sendMaintained(open, notice, now)
                : CompletableFuture.completedFuture(null);
    }

    /** What was sent before may name checks that nobody is to do now, or another likely cause. */
    private CompletableFuture<Void> sendAgain(BrokerConnection open, List<String> assets, StationView now) {
        return CompletableFuture.allOf(assets.stream()
                .flatMap(asset -> forms.covered(asset, now).stream())
                .distinct()
                .filter(alarm -> stateSent.containsKey(alarm.state().id()))
                .map(alarm -> sendState(open, alarm, now))
                .toArray(CompletableFuture<?>[]::new));
    }

    /** Maintenance is part of the state of every alarm that it covers, also of those that had no event by it. */
    private CompletableFuture<Void> sendMaintained(BrokerConnection open, StationEvent.Notice notice, StationView now) {
        boolean ofMaintenance = notice.kind() == StationEvent.Notice.Kind.MAINTENANCE_BEGUN
                || notice.kind() == StationEvent.Notice.Kind.MAINTENANCE_TIME_OVER
                || notice.kind() == StationEvent.Notice.Kind.MAINTENANCE_ENDED;
        return ofMaintenance
                ? CompletableFuture.allOf(forms.covered(notice.subject().owner(), now).stream()
                        .map(alarm -> sendState(open, alarm, now))
                        .toArray(CompletableFuture<?>[]::new))
                : CompletableFuture.completedFuture(null);
    }

    @Override
    public void close() {
        BrokerConnection open = connection;
        connection = null;
        if (open == null) {
            return;
        }
        CompletableFuture<Void> told = open.publish(gatewayTopic(), Written.json(lifeSign(false, clock.now())), true);
        try {
            BrokerConnection.await(told, Duration.ofSeconds(1));
        } catch (IOException e) {
            LOG.debugf("GW-3101 link %s ended without a good-bye: %s", id(), e.getMessage());
        }
        open.close();
    }

    private String gatewayTopic() {
        return settings.topic() + "/gateway";
    }

    private GatewayForm lifeSign(boolean online, Moment at) {
        return new GatewayForm(
                GatewayForm.FORM,
                forms.station().id(),
                forms.station().gateway(),
                online,
                Written.time(at),
                at.wallTrusted());
    }
}
