package oilbird.gateway.engine.simulation;

import java.util.List;
import java.util.SplittableRandom;
import oilbird.gateway.engine.record.Commit;
import oilbird.gateway.engine.record.CommitFailedException;
import oilbird.gateway.engine.record.CommitPort;
import oilbird.gateway.engine.record.EventSource;
import oilbird.gateway.engine.record.EventSubject;
import oilbird.gateway.engine.record.MemoryRecord;
import oilbird.gateway.engine.record.RecordedEvent;
import org.jspecify.annotations.Nullable;

/** The disk as the gateway meets it: full, slow, failing, and gone with the power before or after it has stored a commit. */
final class FakeDisk implements CommitPort, EventSource {
    private final Store store;
    private final World world;
    private final SplittableRandom random;
    private boolean full;
    private boolean lied;

    FakeDisk(Store store, World world, SplittableRandom random) {
        this.store = store;
        this.world = world;
        this.random = random;
    }

    void full(boolean now) {
        full = now;
    }

    @Override
    public boolean wantsEveryState() {
        return store.wantsEveryState();
    }

    @Override
    public void commit(Commit commit) throws CommitFailedException {
        world.step("before a commit");
        if (full) {
            throw new CommitFailedException("disk full");
        }
        if (random.nextDouble() < world.chances().commitFails()) {
            throw new CommitFailedException("input/output error");
        }
        if (random.nextDouble() < world.chances().slowCommit()) {
            world.elapse(random.nextInt(3_000) * Timeline.MILLI);
        }
        world.step("while a commit is under way");
        store.commit(commit);
        MemoryRecord memory = store.memory();
        if (memory != null && !commit.events().isEmpty()) {
            if (world.fault() == PlantedFault.DISK_LOSES_THE_NEWEST && random.nextInt(20) == 0) {
                memory.forgetNewest();
            }
            if (world.fault() == PlantedFault.DISK_FLIPS_A_BYTE && random.nextInt(20) == 0) {
                memory.flipByteOfNewest();
            }
            lied = world.fault() == PlantedFault.DISK_LIES_UNTIL_THE_POWER_GOES;
        }
        world.step("after a commit");
    }

    void powerLost() {
        MemoryRecord memory = store.memory();
        if (lied && memory != null) {
            memory.forgetNewest();
        }
        lied = false;
    }

    @Override
    public List<RecordedEvent> after(long position, int max) {
        return store.after(position, max);
    }

    @Override
    public @Nullable List<RecordedEvent> about(EventSubject subject, long after, long before) {
        return world.fault() == PlantedFault.FRESH_ALARM_LEAVES_ITS_PAST_BEHIND
                ? List.of()
                : store.about(subject, after, before);
    }
}
