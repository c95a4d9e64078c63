package oilbird.gateway.engine.writer;

import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CountDownLatch;
import oilbird.gateway.engine.record.Commit;
import oilbird.gateway.engine.record.CommitFailedException;
import oilbird.gateway.engine.record.CommitPort;
import oilbird.gateway.engine.record.EventSource;
import oilbird.gateway.engine.record.RecordedEvent;
import org.jspecify.annotations.Nullable;

/** A disk that fails or waits as told. */
final class ScriptedDisk implements CommitPort, EventSource {
    final List<Commit> commits = new ArrayList<>();
    volatile boolean failing;
    volatile boolean faulty;
    volatile boolean begunAnew;
    volatile int attempts;
    volatile @Nullable CountDownLatch gate;
    final CountDownLatch reached = new CountDownLatch(1);

    @Override
    public boolean begunAnew() {
        return begunAnew;
    }

    @Override
    public void commit(Commit commit) throws CommitFailedException {
        attempts++;
        CountDownLatch waiting = gate;
        if (waiting != null && !commit.events().isEmpty()) {
            reached.countDown();
            try {
                waiting.await();
            } catch (InterruptedException e) {
                throw new CommitFailedException("interrupted", e);
            }
        }
        if (faulty) {
            throw new IllegalStateException("a fault in the codec");
        }
        if (failing) {
            throw new CommitFailedException("disk full");
        }
        synchronized (this) {
            commits.add(commit);
        }
    }

    @Override
    public synchronized List<RecordedEvent> after(long position, int max) {
        return commits.stream()
                .flatMap(commit -> commit.events().stream())
                .filter(event -> event.position() > position)
                .limit(max)
                .toList();
    }

    synchronized List<Long> positions() {
        return commits.stream()
                .flatMap(commit -> commit.events().stream())
                .map(RecordedEvent::position)
                .toList();
    }
}
