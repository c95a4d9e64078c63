package oilbird.gateway.app.live;

import io.smallrye.mutiny.Multi;
import io.smallrye.mutiny.subscription.MultiEmitter;
import jakarta.inject.Singleton;
import jakarta.ws.rs.sse.OutboundSseEvent;
import jakarta.ws.rs.sse.Sse;
import java.nio.charset.StandardCharsets;
import java.util.ArrayDeque;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.station.EventId;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.AccessEventForm;
import oilbird.gateway.contract.AlarmEventForm;
import oilbird.gateway.contract.AliveForm;
import oilbird.gateway.contract.DiagnosisEventForm;
import oilbird.gateway.contract.EventForm;
import oilbird.gateway.contract.FaultFindingEventForm;
import oilbird.gateway.contract.KeepAwayEventForm;
import oilbird.gateway.contract.Written;
import oilbird.gateway.engine.record.RecordedEvent;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * Tells every listener of each event as it is announced, and every two seconds that the gateway is alive.
 *
 * <p>A listener that names the last event it saw gets what came since, from memory or from the event record. One
 * that is too far behind, or too slow, is told of a gap and goes on with the newest: it asks anew how things stand.
 * Events are told on one thread of this class's own; a slow listener delays neither the others nor the gateway.
 */
@Singleton
public class LiveChannel implements AutoCloseable {
    /** Names of the events of the stream. */
    static final String ALARM = "alarm";

    static final String NOTICE = "notice";
    static final String DIAGNOSIS = "diagnosis";
    static final String KEEP_AWAY = "keep-away";
    static final String FAULT_FINDING = "fault-finding";
    static final String ALIVE = "alive";
    static final String ACCESS = "access";
    static final String GAP = "gap";

    private static final Logger LOG = Logger.getLogger(LiveChannel.class);
    private static final int KEPT = 2_048;
    /** Events that a listener may be behind before it is told of a gap instead. */
    private static final int CATCH_UP = 1_000;
    /** Events that wait in one listener's connection at most; beyond it the connection is ended. */
    private static final int WAITING = 4_096;

    private static final int AT_ONCE = 256;
    private static final long ALIVE_EVERY_NANOS = TimeUnit.SECONDS.toNanos(2);

    private final Gateway gateway;
    private final List<Listener> listeners = new CopyOnWriteArrayList<>();
    private final ArrayDeque<RecordedEvent> newest = new ArrayDeque<>();
    private final Object news = new Object();
    private final Thread thread = new Thread(this::run, "live-channel");
    private boolean changed;
    private boolean closed;

    public LiveChannel(Gateway gateway) {
        this.gateway = gateway;
        thread.setDaemon(true);
    }

    public void start() {
        gateway.engine().writer().onCommitted(this::committed);
        thread.start();
    }

    private void committed(List<RecordedEvent> events) {
        synchronized (news) {
            for (RecordedEvent event : events) {
                newest.addLast(event);
            }
            while (newest.size() > KEPT) {
                newest.removeFirst();
            }
            changed = true;
            news.notifyAll();
        }
    }

    /**
     * A stream for one listener.
     *
     * @param lastSeen id of the last event it saw, or null for none.
     * @param may asked of each event, and every two seconds: false ends the stream.
     */
    public Multi<OutboundSseEvent> listen(Sse sse, @Nullable String lastSeen, Listening may) {
        long newestPosition = gateway.present().position();
        Long seen = lastSeen == null || lastSeen.isBlank() ? Long.valueOf(newestPosition) : positionOf(lastSeen);
        boolean gap = seen == null || newestPosition - seen > CATCH_UP;
        long from = seen == null || gap ? newestPosition : seen;
        return Multi.createFrom()
                .emitter(
                        emitter -> {
                            Listener listener = new Listener(sse, emitter, from, may);
                            emitter.onTermination(() -> listeners.remove(listener));
                            if (gap) {
                                listener.tell(GAP, null, alive());
                            }
                            listener.tell(ALIVE, null, alive());
                            listeners.add(listener);
                            synchronized (news) {
                                changed = true;
                                news.notifyAll();
                            }
                        },
                        WAITING);
    }

    /** What one listener may be told. */
    public interface Listening {
        /** Whether it may listen at all, as of now. */
        boolean stillAllowed();

        boolean mayHear(EventForm form);
    }

    /** Where an event stands in the record, or null if this gateway has no such event. */
    private @Nullable Long positionOf(String eventId) {
        EventId id;
        try {
            id = EventId.parse(eventId);
        } catch (IllegalArgumentException e) {
            return null;
        }
        synchronized (news) {
            for (RecordedEvent event : newest) {
                if (event.event().id().equals(id)) {
                    return event.position();
                }
            }
        }
        RecordedEvent found = gateway.engine().record().find(id);
        return found == null ? null : found.position();
    }

    private void run() {
        long aliveAt = System.nanoTime();
        try {
            while (true) {
                long now = System.nanoTime();
                if (now - aliveAt >= 0) {
                    AliveForm alive = alive();
                    for (Listener listener : listeners) {
                        if (listener.may.stillAllowed()) {
                            listener.tell(ALIVE, null, alive);
                        } else {
                            listeners.remove(listener);
                            listener.emitter.complete();
                        }
                    }
                    aliveAt = now + ALIVE_EVERY_NANOS;
                }
                boolean more = false;
                for (Listener listener : listeners) {
                    more |= carry(listener);
                }
                synchronized (news) {
                    if (closed) {
                        return;
                    }
                    long wait = TimeUnit.NANOSECONDS.toMillis(aliveAt - System.nanoTime());
                    if (!more && !changed && wait > 0) {
                        news.wait(wait);
                    }
                    changed = false;
                }
            }
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
    }

    /** Tells one listener what came since the last it was told; true if there may be more. */
    private boolean carry(Listener listener) {
        try {
            if (gateway.present().position() - listener.position > CATCH_UP) {
                listener.position = gateway.present().position();
                listener.tell(GAP, null, alive());
                return false;
            }
            List<RecordedEvent> events = after(listener.position);
            for (RecordedEvent event : events) {
                EventForm form = gateway.forms().event(event, gateway.present().committedView());
                if (listener.may.mayHear(form)) {
                    listener.tell(name(form), form.eventId(), form);
                }
                listener.position = event.position();
            }
            return events.size() == AT_ONCE;
        } catch (RuntimeException e) {
            LOG.errorf(e, "GW-1102 a live listener could not be told of an event; it is told of a gap");
            listener.position = gateway.present().position();
            listener.tell(GAP, null, alive());
            return false;
        }
    }

    private static String name(EventForm form) {
        if (form instanceof AccessEventForm) {
            return ACCESS;
        }
        return form instanceof AlarmEventForm
                ? ALARM
                : form instanceof DiagnosisEventForm
                        ? DIAGNOSIS
                        : form instanceof KeepAwayEventForm
                                ? KEEP_AWAY
                                : form instanceof FaultFindingEventForm ? FAULT_FINDING : NOTICE;
    }

    private List<RecordedEvent> after(long position) {
        synchronized (news) {
            RecordedEvent oldest = newest.peekFirst();
            if (oldest != null && oldest.position() <= position + 1) {
                return newest.stream()
                        .filter(event -> event.position() > position)
                        .limit(AT_ONCE)
                        .toList();
            }
        }
        return gateway.engine().record().after(position, AT_ONCE);
    }

    private AliveForm alive() {
        var now = gateway.clock().now();
        return new AliveForm(
                AliveForm.FORM,
                Written.time(now),
                now.wallTrusted(),
                gateway.present().position());
    }

    @Override
    public void close() {
        synchronized (news) {
            closed = true;
            news.notifyAll();
        }
        listeners.forEach(listener -> listener.emitter.complete());
    }

    private static final class Listener {
        private final Sse sse;
        private final MultiEmitter<? super OutboundSseEvent> emitter;
        private final Listening may;
        private volatile long position;

        Listener(Sse sse, MultiEmitter<? super OutboundSseEvent> emitter, long position, Listening may) {
            this.may = may;
            this.sse = sse;
            this.emitter = emitter;
            this.position = position;
        }

        void tell(String name, @Nullable String id, Object form) {
            OutboundSseEvent.Builder event = sse.newEventBuilder()
                    .name(name)
                    .data(String.class, new String(Written.json(form), StandardCharsets.UTF_8));
            if (id != null) {
                event.id(id);
            }
            emitter.emit(event.build());
        }
    }
}
