package oilbird.gateway.engine.record;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.Past;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * An event record in memory, of the same bytes as the one on disk. What was committed outlives the process that
 * committed it; what was not does not.
 */
public final class MemoryRecord implements CommitPort, EventSource {
    private final HashChain chain = new HashChain();
    private final TreeMap<Long, Row> rows = new TreeMap<>();
    private final TreeMap<AlarmId, byte[]> states = new TreeMap<>();
    private final Map<String, LinkPosition> links = new LinkedHashMap<>();
    private final List<RecordGap> gaps = new ArrayList<>();
    private final TreeMap<String, byte[]> remembered = new TreeMap<>();
    private byte @Nullable [] standing;
    private byte[] lastHash = HashChain.START;
    private @Nullable Moment lived;

    /** One stored event. */
    public record Row(long position, byte[] body, byte[] hash) {
        public StationEvent event() {
            return EventCodec.read(body);
        }
    }

    /** The stored form of an event. */
    public static byte[] bytes(StationEvent event) {
        return EventCodec.write(event);
    }

    @Override
    public void commit(Commit commit) {
        gaps.addAll(commit.gaps());
        for (RecordedEvent event : commit.events()) {
            byte[] body = EventCodec.write(event.event());
            lastHash = chain.next(lastHash, body);
            if (rows.put(event.position(), new Row(event.position(), body, lastHash)) != null) {
                throw new AssertionError("position " + event.position() + " was written twice");
            }
        }
        for (AlarmState state : commit.changed()) {
            states.put(state.id(), StateCodec.write(state));
        }
        for (LinkPosition link : commit.links()) {
            links.put(link.link(), link);
        }
        for (Remembered piece : commit.remembered()) {
            if (piece.isNothing()) {
                remembered.remove(piece.key());
            } else {
                remembered.put(piece.key(), RememberedCodec.write(piece));
            }
        }
        if (commit.standing() != null) {
            standing = StandingCodec.write(commit.standing());
        }
        lived = commit.at();
    }

    @Override
    public List<RecordedEvent> after(long position, int max) {
        List<RecordedEvent> events = new ArrayList<>();
        for (Row row : rows.tailMap(position, false).values()) {
            if (events.size() == max) {
                break;
            }
            events.add(new RecordedEvent(row.position(), row.event(), true));
        }
        return events;
    }

    @Override
    public List<RecordedEvent> about(EventSubject subject, long after, long before) {
        if (after + 1 >= before) {
            return List.of();
        }
        AlarmId alarm = subject.alarm();
        // Only what may be about it is decoded: there are many.
        String named = alarm == null ? "" : alarm.rule();
        List<RecordedEvent> events = new ArrayList<>();
        for (Row row : rows.subMap(after, false, before, false).values()) {
            if (new String(row.body(), StandardCharsets.UTF_8).contains(named)
                    && subject.equals(EventSubject.of(row.event()))) {
                events.add(new RecordedEvent(row.position(), row.event(), true));
            }
        }
        return events;
    }

    /** What a starting gateway is told. */
    public Recovered recovered() {
        long last = rows.isEmpty() ? 0 : rows.lastKey();
        for (RecordGap gap : gaps) {
            last = Math.max(last, gap.to());
        }
        long incarnation = 0;
        for (Row row : rows.values()) {
            incarnation = Math.max(incarnation, row.event().id().incarnation());
        }
        List<LinkPosition> positions = new ArrayList<>(links.values());
        List<Remembered> pieces = new ArrayList<>();
        remembered.forEach((key, body) -> pieces.add(RememberedCodec.read(key, body)));
        return new Recovered(
                new Past(
                        states.values().stream().map(StateCodec::read).toList(),
                        standing == null ? Standing.NONE : StandingCodec.read(standing),
                        pieces,
                        recent(last),
                        underWay(Past.faultFindingsUnderWay(pieces)),
                        lived),
                positions,
                last + 1,
                incarnation,
                false,
                null,
                null,
                List.of());
    }

    private List<StationEvent.FaultFinding> underWay(List<String> sessions) {
        return rows.values().stream()
                .map(Row::event)
                .filter(StationEvent.FaultFinding.class::isInstance)
                .map(StationEvent.FaultFinding.class::cast)
                .filter(e -> sessions.contains(e.session()))
                .toList();
    }

    private List<StationEvent.OfAlarm> recent(long last) {
        Moment saved = lived;
        return saved == null
                ? List.of()
                : rows.tailMap(last - 5_000, false).values().stream()
                        .map(Row::event)
                        .filter(e -> e.at().wallMillis() >= saved.wallMillis() - Past.RECENT_MILLIS)
                        .filter(StationEvent.OfAlarm.class::isInstance)
                        .map(StationEvent.OfAlarm.class::cast)
                        .toList();
    }

    /** Stored events after a position, in order. */
    public List<Row> rowsAfter(long position) {
        return new ArrayList<>(rows.tailMap(position, false).values());
    }

    public List<RecordGap> gaps() {
        return List.copyOf(gaps);
    }

    // ---- damage that a test plants

    /** Loses the newest stored event, as a disk that only claimed to have written it. */
    public void forgetNewest() {
        if (!rows.isEmpty()) {
            rows.pollLastEntry();
            lastHash = rows.isEmpty()
                    ? HashChain.START
                    : rows.lastEntry().getValue().hash();
        }
    }

    /** Changes one byte of the newest stored event. */
    public void flipByteOfNewest() {
        if (!rows.isEmpty()) {
            Row row = rows.lastEntry().getValue();
            byte[] body = Arrays.copyOf(row.body(), row.body().length);
            body[body.length / 2] ^= 1;
            rows.put(row.position(), new Row(row.position(), body, row.hash()));
        }
    }
}
