package oilbird.gateway.engine.outbox.contract;

import java.util.List;
import java.util.Optional;
import oilbird.alarm.state.AlarmId;
import oilbird.gateway.engine.outbox.Link;
import org.jspecify.annotations.Nullable;

/** A real control room's end of a link: what a test sees of it and does to it. One for each test. */
public interface Peer extends AutoCloseable {
    /** A new link to this peer; asked for again after each start of the gateway. */
    Link link(Surroundings around) throws Exception;

    /** Everything that has come, in the order in which it came, repetitions among it. */
    List<Arrival> arrivals();

    /** How the peer now believes an alarm to stand; empty where it has never heard of it. */
    Optional<Picture> picture(AlarmId alarm) throws Exception;

    /** Ends the peer as a stopped machine ends; what it kept may be lost. */
    void stop() throws Exception;

    /** Starts it again at the same address. */
    void startAgain() throws Exception;

    /** From now on it takes connections and whatever comes over them, and never answers. */
    void fallSilent() throws Exception;

    /** It answers again. */
    void answerAgain() throws Exception;

    /**
     * Acknowledges an alarm from there, by the protocol's own means.
     *
     * @param eventId the event that is acknowledged, as the peer knows it.
     * @return false where the protocol has no such means; the test then acknowledges at the gateway.
     */
    default boolean acknowledge(AlarmId alarm, String eventId, String comment) throws Exception {
        return false;
    }

    /**
     * Whether events that happen while the peer is away are to come afterwards, each of them. False for a protocol whose
     * peer asks for the present states when it comes back; then only those are looked at.
     */
    default boolean eventsWait() {
        return true;
    }

    /** Whether the gateway can see that the peer does not answer. */
    default boolean silenceIsSeen() {
        return true;
    }

    /** Whether it hears of entries of the record that are about no alarm, a test message among them. */
    default boolean hearsNotices() {
        return true;
    }

    @Override
    void close() throws Exception;

    /**
     * One message at the peer.
     *
     * @param eventId id of the event.
     * @param alarm null for what is about no alarm.
     * @param kind as the contract writes it, for example {@code raised}, {@code link-tested}.
     * @param test marked as made up by a test.
     * @param doubtful its quality is another than good.
     */
    record Arrival(String eventId, @Nullable AlarmId alarm, String kind, boolean test, boolean doubtful) {}

    /**
     * How an alarm stands, as far as every protocol tells it.
     *
     * @param active as told: while a point test forces the alarm, what it is forced to.
     * @param test marked as forced by a point test.
     * @param doubtful its quality is another than good.
     */
    record Picture(boolean active, boolean acknowledged, boolean shelved, boolean test, boolean doubtful) {}
}
