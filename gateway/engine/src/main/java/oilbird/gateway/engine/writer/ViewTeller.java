package oilbird.gateway.engine.writer;

import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.station.StationView;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/** Tells view listeners on a thread of its own; newer views replace those not yet told. */
final class ViewTeller implements AutoCloseable {
    private static final Logger LOG = Logger.getLogger(ViewTeller.class);

    private final CopyOnWriteArrayList<ViewListener> listeners = new CopyOnWriteArrayList<>();
    private final Thread thread = new Thread(this::run, "station-views");
    private @Nullable StationView newest;
    private boolean fresh;
    private boolean closed;

    ViewTeller() {
        thread.setDaemon(true);
    }

    void add(ViewListener listener) {
        listeners.add(listener);
    }

    void start() {
        thread.start();
    }

    synchronized void show(StationView view) {
        newest = view;
        fresh = true;
        notifyAll();
    }

    synchronized @Nullable StationView newest() {
        return newest;
    }

    /** Tells the last view, then ends the thread; waits at most two seconds. */
    @Override
    public void close() {
        synchronized (this) {
            closed = true;
            notifyAll();
        }
        try {
            thread.join(TimeUnit.SECONDS.toMillis(2));
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
    }

    private void run() {
        try {
            for (StationView view = next(); view != null; view = next()) {
                for (ViewListener listener : listeners) {
                    try {
                        listener.changed(view);
                    } catch (RuntimeException e) {
                        LOG.errorf(e, "GW-2011 a listener failed on a view of the station");
                    }
                }
            }
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
    }

    private synchronized @Nullable StationView next() throws InterruptedException {
        while (!fresh && !closed) {
            wait();
        }
        if (!fresh) {
            return null;
        }
        fresh = false;
        return newest;
    }
}
