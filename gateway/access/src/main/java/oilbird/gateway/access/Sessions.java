package oilbird.gateway.access;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * The sessions of signed-in people. In memory only: a restart ends them all. Kept under the digests of their ids, so
 * that nothing that is read from here lets anybody in. Thread-safe.
 */
final class Sessions {
    private static final int MOST = 200;
    private static final int MOST_OF_ONE = 10;

    private final Map<String, Session> byDigest = new LinkedHashMap<>();
    private final long idleNanos;
    private final long absoluteNanos;

    Sessions(Duration idle, Duration absolute) {
        this.idleNanos = idle.toNanos();
        this.absoluteNanos = absolute.toNanos();
    }

    /**
     * A session.
     *
     * @param handle by which it is told from others; no secret.
     * @param epoch of its user's account when it began.
     * @param activeAt when its person last did something.
     * @param lasting true where the connection is the session: neither idleness nor time ends it.
     */
    record Session(
            String handle,
            String user,
            String role,
            long epoch,
            String address,
            long begunAt,
            long activeAt,
            boolean lasting) {
        Session active(long now) {
            return new Session(handle, user, role, epoch, address, begunAt, now, lasting);
        }
    }

    /**
     * Begins a session with an id that nobody has had before.
     *
     * @param ended takes those that had to give way.
     * @return its id, which is told to the person's browser and nowhere else.
     */
    synchronized String begin(
            String user, String role, long epoch, String address, boolean lasting, long now, List<Session> ended) {
        String id = Secrets.random();
        byDigest.put(
                Secrets.digest(id), new Session(Secrets.randomHex(8), user, role, epoch, address, now, now, lasting));
        giveWay(session -> session.user().equals(user), MOST_OF_ONE, ended);
        giveWay(session -> true, MOST, ended);
        return id;
    }

    private void giveWay(java.util.function.Predicate<Session> of, int most, List<Session> ended) {
        List<Map.Entry<String, Session>> those = byDigest.entrySet().stream()
                .filter(e -> of.test(e.getValue()))
                .sorted(Comparator.comparingLong(e -> e.getValue().activeAt()))
                .toList();
        for (int i = 0; i < those.size() - most; i++) {
            ended.add(those.get(i).getValue());
            byDigest.remove(those.get(i).getKey());
        }
    }

    /** The session of an id, unless it is over; null where there is none. */
    synchronized @Nullable Session of(String id, long now) {
        Session session = byDigest.get(Secrets.digest(id));
        return session == null || over(session, now) ? null : session;
    }

    private boolean over(Session session, long now) {
        return !session.lasting() && now - session.begunAt() >= absoluteNanos;
    }

    boolean locked(Session session, long now) {
        return !session.lasting() && now - session.activeAt() >= idleNanos;
    }

    /** Its person did something; what came too late does not count. */
    synchronized void active(String id, long now) {
        byDigest.computeIfPresent(
                Secrets.digest(id), (key, session) -> locked(session, now) ? session : session.active(now));
    }

    synchronized @Nullable Session end(String id) {
        return byDigest.remove(Secrets.digest(id));
    }

    /** Ends those that are over or that a test finds to be. */
    synchronized List<Session> endThose(java.util.function.Predicate<Session> over, long now) {
        List<Session> ended = new ArrayList<>();
        byDigest.values().removeIf(session -> {
            boolean gone = over(session, now) || over.test(session);
            if (gone) {
                ended.add(session);
            }
            return gone;
        });
        return ended;
    }

    synchronized List<Session> all() {
        return List.copyOf(byDigest.values());
    }
}
