package oilbird.gateway.engine.outbox;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.gateway.engine.record.LinkPosition;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;

class OutboxTest {
    private final List<RecordedEvent> disk = new ArrayList<>();

    private Outbox outbox(int keep, LinkPosition... saved) {
        return new Outbox(
                (position, max) -> disk.stream()
                        .filter(event -> event.position() > position)
                        .limit(max)
                        .toList(),
                disk.isEmpty() ? 0 : disk.get(disk.size() - 1).position(),
                List.of(saved),
                keep);
    }

    static RecordedEvent event(long position, boolean recorded) {
        return new RecordedEvent(
                position,
                new StationEvent.Notice(
                        new EventId("windlow-gw", 1, position),
                        StationEvent.Notice.Kind.UNDOCUMENTED_BIT,
                        new SignalId("gas-1", "w"),
                        "",
                        new Moment(position, 0, true)),
                recorded);
    }

    private void commit(Outbox outbox, long from, long to) {
        List<RecordedEvent> events = new ArrayList<>();
        for (long i = from; i <= to; i++) {
            events.add(event(i, true));
        }
        disk.addAll(events);
        outbox.announced(events);
        outbox.settled(to);
    }

    @Test
    void aKnownLinkGoesOnWhereItWasAndANewOneBeginsAtTheEnd() {
        for (long i = 1; i <= 9; i++) {
            disk.add(event(i, true));
        }
        Outbox outbox = outbox(5, new LinkPosition("scada", 4));
        assertThat(outbox.cursor("scada").confirmed()).isEqualTo(4);
        assertThat(outbox.cursor("scada").waiting()).isEqualTo(5);
        assertThat(outbox.cursor("scada").after(4, 100)).isEqualTo(disk.subList(4, 9));
        assertThat(outbox.cursor("new").confirmed()).isEqualTo(9);
        assertThat(outbox.cursor("new").after(9, 100)).isEmpty();
    }

    @Test
    void aCursorBeyondARecordThatWasSetAsideComesBackToItsEnd() {
        Outbox outbox = outbox(5, new LinkPosition("scada", 1_000));
        assertThat(outbox.cursor("scada").confirmed()).isZero();
    }

    @Test
    void aCursorNeverMovesBackwardsNorBeyondWhatWasAnnounced() {
        Outbox outbox = outbox(5);
        LinkCursor cursor = outbox.cursor("scada");
        commit(outbox, 1, 3);
        cursor.confirm(2);
        cursor.confirm(1);
        assertThat(cursor.confirmed()).isEqualTo(2);
        cursor.confirm(99);
        assertThat(cursor.confirmed()).isEqualTo(3);
        assertThat(outbox.unsaved()).containsExactly(new LinkPosition("scada", 3));
        outbox.saved(outbox.unsaved());
        assertThat(outbox.unsaved()).isEmpty();
    }

    @Test
    void eventsThatTheDiskDoesNotHaveStayInMemoryBeyondItsBound() {
        Outbox outbox = outbox(2);
        LinkCursor cursor = outbox.cursor("scada");
        commit(outbox, 1, 4);
        List<RecordedEvent> unwritten = new ArrayList<>();
        for (long i = 5; i <= 20; i++) {
            unwritten.add(event(i, false));
        }
        outbox.announced(unwritten);
        assertThat(cursor.after(4, 100)).isEqualTo(unwritten);
        assertThat(cursor.after(0, 100)).as("older ones first, from the disk").isEqualTo(disk);
        List<RecordedEvent> written = new ArrayList<>();
        for (long i = 5; i <= 20; i++) {
            written.add(event(i, true));
        }
        outbox.written(written);
        assertThat(cursor.after(18, 100)).containsExactly(event(19, true), event(20, true));
    }

    /** Whatever is in memory and whatever only on the disk, a reader sees every event once and in order. */
    @Test
    void aReaderSeesEveryEventOnceAndInOrder() {
        long seed = 42;
        System.out.println("seed " + seed);
        Random random = new Random(seed);
        for (int run = 0; run < 100; run++) {
            disk.clear();
            Outbox outbox = outbox(1 + random.nextInt(10));
            LinkCursor cursor = outbox.cursor("scada");
            List<Long> seen = new ArrayList<>();
            long read = 0;
            long next = 1;
            while (next < 300) {
                long to = next + random.nextInt(8);
                commit(outbox, next, to);
                next = to + 1;
                for (int i = random.nextInt(4); i > 0; i--) {
                    for (RecordedEvent event : cursor.after(read, 1 + random.nextInt(5))) {
                        seen.add(event.position());
                        read = event.position();
                    }
                }
            }
            for (List<RecordedEvent> rest = cursor.after(read, 50); !rest.isEmpty(); rest = cursor.after(read, 50)) {
                for (RecordedEvent event : rest) {
                    seen.add(event.position());
                    read = event.position();
                }
            }
            List<Long> all = new ArrayList<>();
            for (long i = 1; i < next; i++) {
                all.add(i);
            }
            assertThat(seen).as("seed %d run %d", seed, run).isEqualTo(all);
        }
    }
}
