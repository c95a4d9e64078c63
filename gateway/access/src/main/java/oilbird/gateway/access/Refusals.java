package oilbird.gateway.access;

import java.time.Duration;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.Map;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;

/**
 * Tells refusals so that nobody can fill the record with them: of each kind and address the first is told at once, and
 * what follows within the window as one sum at its end. Beyond a number of addresses all others count as one: never
 * more than {@code 2 * kinds * (addresses + 1)} are told in a window. Thread-safe.
 */
final class Refusals {
    static final Duration WINDOW = Duration.ofMinutes(1);
    static final int ADDRESSES = 32;

    private final Happenings to;
    private final Map<Key, Window> open = new LinkedHashMap<>();

    private record Key(Kind kind, String address) {}

    private static final class Window {
        private final long begunAt;
        private long more;
        private String about = "";
        private Actor by;
        private String text = "";

        Window(long begunAt, Actor by) {
            this.begunAt = begunAt;
            this.by = by;
        }
    }

    Refusals(Happenings to) {
        this.to = to;
    }

    void refused(Kind kind, String about, Actor by, String address, String text, long now) {
        boolean first;
        String told = address;
        synchronized (this) {
            Key key = new Key(kind, address);
            long ofKind = open.keySet().stream().filter(k -> k.kind() == kind).count();
            if (!open.containsKey(key) && ofKind >= ADDRESSES) {
                key = new Key(kind, "");
                told = "";
            }
            Window window = open.get(key);
            first = window == null;
            if (window == null) {
                window = new Window(now, by);
                open.put(key, window);
            } else {
                window.more++;
                window.about = about;
                window.by = by;
                window.text = text;
            }
        }
        if (first) {
            to.tell(kind, about, by, told, text, 1);
        }
    }

    /** Tells the sums of the windows that are over. */
    void sweep(long now) {
        Map<Key, Window> over = new LinkedHashMap<>();
        synchronized (this) {
            for (Iterator<Map.Entry<Key, Window>> each = open.entrySet().iterator(); each.hasNext(); ) {
                Map.Entry<Key, Window> entry = each.next();
                if (now - entry.getValue().begunAt >= WINDOW.toNanos()) {
                    over.put(entry.getKey(), entry.getValue());
                    each.remove();
                }
            }
        }
        over.forEach((key, window) -> {
            if (window.more > 0) {
                String where = key.address().isEmpty() ? "from many addresses; the last: " : "the last: ";
                to.tell(
                        key.kind(),
                        window.about,
                        window.by,
                        key.address(),
                        window.more + " more within a minute, " + where + window.text,
                        window.more);
            }
        });
    }
}
