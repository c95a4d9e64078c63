package oilbird.demoplant.room;

import java.util.LinkedHashSet;
import java.util.Set;
import java.util.function.Consumer;
import org.eclipse.paho.client.mqttv3.MqttClient;
import org.eclipse.paho.client.mqttv3.MqttConnectOptions;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;

/** A stand-in for the control room: reads every station's events from the broker and tells each in plain words. */
public final class ControlRoom implements AutoCloseable {
    /** Topic of the events of every station. */
    public static final String EVENTS = "oilbird/+/event";
    /** Topic of what people are to keep away from, of every station. */
    public static final String KEEP_AWAYS = "oilbird/+/keep-away";
    /** What a listener hears of a keep-away, before the asset. */
    public static final String KEEP_AWAY = "keep-away ";

    private static final int AT_LEAST_ONCE = 1;

    private final MqttClient client;
    private final Consumer<String> out;
    private final Listener listener;
    private final Set<String> seenEvents = new LinkedHashSet<>();
    private final Set<String> explained = new LinkedHashSet<>();
    private final Set<String> unexplained = new LinkedHashSet<>();
    private int others;
    private int unreadable;

    /**
     * What arrived.
     *
     * @param explained different alarms that asked for attention with a sentence and a first check
     * @param unexplained different alarms that asked for attention without
     * @param others events that asked for no attention
     * @param unreadable messages that were no alarm event
     */
    public record Tally(int explained, int unexplained, int others, int unreadable) {}

    /** Hears of every event once. */
    @FunctionalInterface
    public interface Listener {
        /**
         * @param alarm such as {@code t1/gas-t1.oil-flow-low}, or {@code keep-away t1}
         * @param sounds whether it asks for attention
         */
        void heard(String alarm, boolean sounds);
    }

    private ControlRoom(MqttClient client, Consumer<String> out, Listener listener) {
        this.client = client;
        this.out = out;
        this.listener = listener;
    }

    /**
     * Connects to a broker on loopback and subscribes.
     *
     * @param out takes each event in plain words
     */
    public static ControlRoom open(int port, Consumer<String> out, Listener listener) throws MqttException {
        MqttClient client = new MqttClient("tcp://127.0.0.1:" + port, "control-room", new MemoryPersistence());
        ControlRoom room = new ControlRoom(client, out, listener);
        MqttConnectOptions options = new MqttConnectOptions();
        options.setAutomaticReconnect(true);
        client.connect(options);
        client.subscribe(EVENTS, AT_LEAST_ONCE, (topic, message) -> room.take(message.getPayload()));
        client.subscribe(KEEP_AWAYS, AT_LEAST_ONCE, (topic, message) -> room.takeKeepAway(message.getPayload()));
        return room;
    }

    /** What arrived so far. */
    public synchronized Tally tally() {
        return new Tally(explained.size(), unexplained.size(), others, unreadable);
    }

    @Override
    public void close() {
        try {
            client.disconnectForcibly(0, 1_000);
            client.close();
        } catch (MqttException alreadyGone) {
            out.accept("control room: the broker was gone before the reader (" + alreadyGone.getMessage() + ")");
        }
    }

    /** Takes one message on a keep-away; one delivered again is told once. */
    synchronized void takeKeepAway(byte[] payload) {
        KeepAwayNotice notice;
        try {
            notice = KeepAwayNotice.read(payload);
        } catch (AlarmNotice.Unreadable failure) {
            unreadable++;
            out.accept("control room: a message that is no keep-away: " + failure.getMessage());
            return;
        }
        if (seenEvents.add(notice.eventId())) {
            listener.heard(KEEP_AWAY + notice.asset(), !notice.released());
            out.accept("\n" + notice.print() + "\n");
        }
    }

    /** Takes one message; an event delivered again is told once. */
    synchronized void take(byte[] payload) {
        AlarmNotice notice;
        try {
            notice = AlarmNotice.read(payload);
        } catch (AlarmNotice.Unreadable failure) {
            unreadable++;
            out.accept("control room: a message that is no alarm event: " + failure.getMessage());
            return;
        }
        if (!seenEvents.add(notice.eventId())) {
            return;
        }
        listener.heard(notice.alarm(), notice.sounds());
        if (!notice.sounds()) {
            others++;
            // Told on the page; here it would bury what people have to hear.
            if (!notice.kind().equals("quality-changed")) {
                out.accept(notice.print());
            }
            return;
        }
        (notice.isExplained() ? explained : unexplained).add(notice.alarm());
        out.accept("\n" + notice.print() + "\n");
    }
}
