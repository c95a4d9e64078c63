package oilbird.alarm.station;

import java.util.Arrays;

/** Which of many numbered owners is due next. Each owner has at most one deadline; equal ones go by number. */
final class Deadlines {
    static final long NEVER = Long.MAX_VALUE;
    private static final int ABSENT = -1;

    private long[] deadline = new long[64];
    private int[] place = new int[64];
    private int[] heap = new int[64];
    private int owners;
    private int size;

    /** The number of a new owner, without a deadline. */
    int newOwner() {
        if (owners == deadline.length) {
            deadline = Arrays.copyOf(deadline, owners * 2);
            place = Arrays.copyOf(place, owners * 2);
            heap = Arrays.copyOf(heap, owners * 2);
        }
        deadline[owners] = NEVER;
        place[owners] = ABSENT;
        return owners++;
    }

    /** Replaces the owner's deadline; {@link #NEVER} removes it. */
    void set(int owner, long at) {
        int position = place[owner];
        long before = deadline[owner];
        deadline[owner] = at;
        if (at == NEVER) {
            if (position != ABSENT) {
                remove(position);
            }
        } else if (position == ABSENT) {
            place(owner, size);
            size++;
            up(size - 1);
        } else if (at < before) {
            up(position);
        } else {
            down(position);
        }
    }

    long earliest() {
        return size == 0 ? NEVER : deadline[heap[0]];
    }

    /** Removes and returns the first owner due at {@code now}, or -1. */
    int takeDue(long now) {
        if (size == 0 || deadline[heap[0]] > now) {
            return -1;
        }
        int owner = heap[0];
        remove(0);
        deadline[owner] = NEVER;
        return owner;
    }

    private void remove(int position) {
        place[heap[position]] = ABSENT;
        size--;
        if (position < size) {
            place(heap[size], position);
            down(position);
            up(position);
        }
    }

    private void place(int owner, int position) {
        heap[position] = owner;
        place[owner] = position;
    }

    private boolean before(int a, int b) {
        return deadline[a] < deadline[b] || (deadline[a] == deadline[b] && a < b);
    }

    private void up(int from) {
        int position = from;
        int owner = heap[position];
        while (position > 0) {
            int parent = (position - 1) / 2;
            if (!before(owner, heap[parent])) {
                break;
            }
            place(heap[parent], position);
            position = parent;
        }
        place(owner, position);
    }

    private void down(int from) {
        int position = from;
        int owner = heap[position];
        while (2 * position + 1 < size) {
            int child = 2 * position + 1;
            if (child + 1 < size && before(heap[child + 1], heap[child])) {
                child++;
            }
            if (!before(heap[child], owner)) {
                break;
            }
            place(heap[child], position);
            position = child;
        }
        place(owner, position);
    }
}
