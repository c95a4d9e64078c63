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

    private static final int AT_LEAST_ONCE = 1;

    private final MqttClient client;
    private final Consumer<String> out;
    private final Set<String> seen = new LinkedHashSet<>();
    private Tally tally = new Tally(0, 0, 0, 0);

    /**
     * What arrived.
     *
     * @param explained alarms raised that came with a sentence and a first check
     * @param unexplained alarms raised that came without
     * @param others events of other kinds
     * @param unreadable messages that were no alarm event
     */
    public record Tally(int explained, int unexplained, int others, int unreadable) {}

    private ControlRoom(MqttClient client, Consumer<String> out) {
        this.client = client;
        this.out = out;
    }

    /**
     * Connects to a broker on loopback and subscribes.
     *
     * @param out takes each event in plain words
     */
    public static ControlRoom open(int port, Consumer<String> out) throws MqttException {
        MqttClient client = new MqttClient("tcp://127.0.0.1:" + port, "control-room", new MemoryPersistence());
        ControlRoom room = new ControlRoom(client, out);
        MqttConnectOptions options = new MqttConnectOptions();
        options.setAutomaticReconnect(true);
        client.connect(options);
        client.subscribe(EVENTS, AT_LEAST_ONCE, (topic, message) -> room.take(message.getPayload()));
        return room;
    }

    /** What arrived so far. */
    public synchronized Tally tally() {
        return tally;
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

    /** Takes one message; one that comes again word for word is a repetition of delivery and told once. */
    synchronized void take(byte[] payload) {
        if (!seen.add(new String(payload, java.nio.charset.StandardCharsets.UTF_8))) {
            return;
        }
        try {
            AlarmNotice notice = AlarmNotice.read(payload);
            tally = !notice.isRaised()
                    ? new Tally(tally.explained, tally.unexplained, tally.others + 1, tally.unreadable)
                    : notice.isExplained()
                            ? new Tally(tally.explained + 1, tally.unexplained, tally.others, tally.unreadable)
                            : new Tally(tally.explained, tally.unexplained + 1, tally.others, tally.unreadable);
            out.accept(notice.isRaised() ? "\n" + notice.print() + "\n" : notice.print());
        } catch (AlarmNotice.Unreadable unreadable) {
            tally = new Tally(tally.explained, tally.unexplained, tally.others, tally.unreadable + 1);
            out.accept("control room: a message that is no alarm event: " + unreadable.getMessage());
        }
    }
}
