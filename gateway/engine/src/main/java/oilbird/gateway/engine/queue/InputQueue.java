package oilbird.gateway.engine.queue;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.concurrent.locks.Condition;
import java.util.concurrent.locks.ReentrantLock;
import oilbird.alarm.station.StationInput;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.StatusWordValue;
import org.jspecify.annotations.Nullable;

/**
 * The bounded line of inputs before the writer. Thread-safe; nothing in it blocks but {@link #take} and {@link #pause}.
 *
 * <p>An input <em>carries a change</em> when an indication, an undocumented bit or the outcome of the request
 * differs from the input of the same device and block before it. Up to {@code capacity} every input is kept.
 * Above it an input without a change takes the place of the waiting one before it of the same block, if that
 * carries no change either: the newest reading wins, no change of an indication is passed over. Inputs that
 * carry a change wait up to {@code limit}; there, one without a change gives way, and only if none is left is
 * the new one lost. An input that comes twice is kept once. Human acts have a limit of their own and are never lost: the door is told that it is full.
 */
public final class InputQueue implements InputSink {
    private static final int ACTS = 1_024;

    private final int capacity;
    private final int limit;
    private final ReentrantLock lock = new ReentrantLock();
    private final Condition arrived = lock.newCondition();
    private final ArrayDeque<Place> line = new ArrayDeque<>();
    private final Map<Block, Lane> lanes = new HashMap<>();
    private int acts;
    private boolean actsRefused;
    private boolean woken;
    private long merged;
    private long lostReadings;
    private long lostIndications;

    /**
     * @param capacity waiting inputs from which on readings are merged.
     * @param limit waiting inputs that are never exceeded, human acts apart.
     */
    public InputQueue(int capacity, int limit) {
        if (capacity < 1 || limit < capacity) {
            throw new IllegalArgumentException("capacity " + capacity + ", limit " + limit);
        }
        this.capacity = capacity;
        this.limit = limit;
    }

    @Override
    public boolean offer(StationInput input) {
        lock.lock();
        try {
            boolean kept;
            if (input instanceof StationInput.Observed observed) {
                kept = offer(
                        input,
                        lane(observed.decoded().device(), observed.decoded().block()));
            } else if (input instanceof StationInput.RequestFailed failed) {
                kept = offer(input, lane(failed.device(), failed.block()));
            } else {
                line.add(new Place(input, null, null, true));
                acts++;
                kept = true;
            }
            arrived.signal();
            return kept;
        } finally {
            lock.unlock();
        }
    }

    /**
     * Puts a human act in line.
     *
     * @param ticket handed back with it by {@link #take}.
     * @return false if too many acts wait already, or no more are taken.
     */
    public boolean offerAct(StationInput.Asked act, Object ticket) {
        lock.lock();
        try {
            if (actsRefused || acts >= ACTS) {
                return false;
            }
            line.add(new Place(act, null, ticket, true));
            acts++;
            arrived.signal();
            return true;
        } finally {
            lock.unlock();
        }
    }

    /**
     * Takes what waits, oldest first; waits for something if nothing does.
     *
     * @param waitNanos real time; 0 or less for not at all.
     * @return empty after the time, or after {@link #wake()}.
     */
    public List<Queued> take(int max, long waitNanos) throws InterruptedException {
        lock.lockInterruptibly();
        try {
            long remaining = waitNanos;
            while (line.isEmpty() && !woken && remaining > 0) {
                remaining = arrived.awaitNanos(remaining);
            }
            woken = false;
            List<Queued> taken = new ArrayList<>(Math.min(max, line.size()));
            while (taken.size() < max && !line.isEmpty()) {
                Place place = line.remove();
                if (place.lane == null) {
                    acts--;
                } else {
                    place.lane.waiting--;
                }
                taken.add(new Queued(place.input, place.since, place.ticket));
            }
            return taken;
        } finally {
            lock.unlock();
        }
    }

    /** Waits for the time to pass or for {@link #wake()}, whatever comes in meanwhile. */
    public void pause(long waitNanos) throws InterruptedException {
        lock.lockInterruptibly();
        try {
            long remaining = waitNanos;
            while (!woken && remaining > 0) {
                remaining = arrived.awaitNanos(remaining);
            }
            woken = false;
        } finally {
            lock.unlock();
        }
    }

    /** Makes a waiting {@link #take} or {@link #pause} return. */
    public void wake() {
        lock.lock();
        try {
            woken = true;
            arrived.signal();
        } finally {
            lock.unlock();
        }
    }

    /** From now on no human act is taken; those in line stay. */
    public void refuseActs() {
        lock.lock();
        try {
            actsRefused = true;
        } finally {
            lock.unlock();
        }
    }

    public int waiting() {
        lock.lock();
        try {
            return line.size();
        } finally {
            lock.unlock();
        }
    }

    public Losses losses() {
        lock.lock();
        try {
            return new Losses(merged, lostReadings, lostIndications);
        } finally {
            lock.unlock();
        }
    }

    private Lane lane(String device, String block) {
        return lanes.computeIfAbsent(new Block(device, block), key -> new Lane());
    }

    private boolean offer(StationInput input, Lane lane) {
        StationInput newest = lane.newest;
        if (newest != null && input.at().equals(newest.at()) && input.equals(newest)) {
            // A sample that is delivered twice is still one sample.
            return true;
        }
        boolean change = lane.newest == null || !sameStates(lane.newest, input);
        int readingsAndChanges = line.size() - acts;
        if (readingsAndChanges >= capacity && !change) {
            Place last = lane.last;
            if (lane.waiting > 0 && last != null && !last.change) {
                last.input = input;
                lane.newest = input;
                merged++;
                return true;
            }
        }
        if (readingsAndChanges >= limit) {
            if (!change) {
                lostReadings++;
                return false;
            }
            if (!giveWay()) {
                lostIndications++;
                return false;
            }
        }
        Place place = new Place(input, lane, null, change);
        line.add(place);
        lane.last = place;
        lane.newest = input;
        lane.waiting++;
        return true;
    }

    /** Removes the oldest input that carries no change; its neighbours in the lane say the same of indications. */
    private boolean giveWay() {
        for (Iterator<Place> places = line.iterator(); places.hasNext(); ) {
            Place place = places.next();
            Lane lane = place.lane;
            if (lane != null && !place.change) {
                places.remove();
                lane.waiting--;
                if (lane.last == place) {
                    lane.last = null;
                }
                lostReadings++;
                return true;
            }
        }
        return false;
    }

    /** Whether two inputs of one block say the same but for values and times. */
    private static boolean sameStates(StationInput a, StationInput b) {
        if (a instanceof StationInput.Observed was && b instanceof StationInput.Observed is) {
            return sameIndications(was.decoded(), is.decoded()) && sameUndocumented(was.decoded(), is.decoded());
        }
        return a instanceof StationInput.RequestFailed failed
                && b instanceof StationInput.RequestFailed again
                && failed.reason() == again.reason();
    }

    private static boolean sameIndications(Decoded a, Decoded b) {
        if (a.indications().size() != b.indications().size()) {
            return false;
        }
        for (int i = 0; i < a.indications().size(); i++) {
            Indication was = a.indications().get(i);
            Indication is = b.indications().get(i);
            if (was.state() != is.state()
                    || was.reason() != is.reason()
                    || !was.id().equals(is.id())) {
                return false;
            }
        }
        return true;
    }

    private static boolean sameUndocumented(Decoded a, Decoded b) {
        if (a.words().size() != b.words().size()) {
            return false;
        }
        for (int i = 0; i < a.words().size(); i++) {
            StatusWordValue was = a.words().get(i);
            StatusWordValue is = b.words().get(i);
            if (was.undocumented() != is.undocumented() || !was.id().equals(is.id())) {
                return false;
            }
        }
        return true;
    }

    private record Block(String device, String name) {}

    /** The inputs of one block of one device. */
    private static final class Lane {
        private @Nullable StationInput newest;
        private @Nullable Place last;
        private int waiting;
    }

    private static final class Place {
        private StationInput input;
        private final long since;
        private final @Nullable Lane lane;
        private final @Nullable Object ticket;
        private final boolean change;

        Place(StationInput input, @Nullable Lane lane, @Nullable Object ticket, boolean change) {
            this.input = input;
            this.since = input.at().monotonicNanos();
            this.lane = lane;
            this.ticket = ticket;
            this.change = change;
        }
    }
}
