package oilbird.gateway.access;

import java.util.HashMap;
import java.util.Map;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.Future;
import java.util.concurrent.RejectedExecutionException;
import java.util.concurrent.ThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.function.BooleanSupplier;

/** Hashes passwords one at a time, so that nobody who tries many takes memory or processors from the station. */
final class HashDesk implements AutoCloseable {
    private static final int WAITING = 16;
    private static final int WAITING_OF_ONE = 2;

    private final ThreadPoolExecutor one;
    private final Map<String, Integer> waiting = new HashMap<>();

    HashDesk() {
        one = new ThreadPoolExecutor(1, 1, 0, TimeUnit.SECONDS, new ArrayBlockingQueue<>(WAITING), work -> {
            Thread thread = new Thread(work, "password-hashing");
            thread.setDaemon(true);
            thread.setPriority(Thread.MIN_PRIORITY);
            return thread;
        });
    }

    /** Too many wait already: of this address, or at all. */
    static final class BusyException extends Exception {
        private static final long serialVersionUID = 1L;
    }

    /**
     * Waits for its turn and for the outcome.
     *
     * @param address of which only so many may wait.
     */
    boolean check(String address, BooleanSupplier work) throws BusyException {
        synchronized (waiting) {
            if (waiting.getOrDefault(address, 0) >= WAITING_OF_ONE) {
                throw new BusyException();
            }
            waiting.merge(address, 1, Integer::sum);
        }
        try {
            Future<Boolean> outcome = one.submit(work::getAsBoolean);
            return outcome.get();
        } catch (RejectedExecutionException e) {
            throw new BusyException();
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            throw new BusyException();
        } catch (ExecutionException e) {
            throw new IllegalStateException(e.getCause());
        } finally {
            synchronized (waiting) {
                waiting.computeIfPresent(address, (key, count) -> count == 1 ? null : count - 1);
            }
        }
    }

    @Override
    public void close() {
        one.shutdownNow();
    }
}
