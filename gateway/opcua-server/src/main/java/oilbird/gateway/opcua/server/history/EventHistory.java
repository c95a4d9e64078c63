package oilbird.gateway.opcua.server.history;

import java.nio.ByteBuffer;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.Semaphore;
import java.util.function.Function;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.opcua.server.event.EventSide;
import oilbird.gateway.opcua.server.event.FilterAnswer;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.encoding.EncodingContext;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.ExtensionObject;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.HistoryEvent;
import org.eclipse.milo.opcua.stack.core.types.structured.HistoryEventFieldList;
import org.eclipse.milo.opcua.stack.core.types.structured.HistoryReadResult;
import org.eclipse.milo.opcua.stack.core.types.structured.HistoryReadValueId;
import org.eclipse.milo.opcua.stack.core.types.structured.ReadEventDetails;
import org.jspecify.annotations.Nullable;

/**
 * Reads past events of a notifier from the event record (OPC UA Part 11, 6.4.2). What is left over after a page waits
 * nowhere: the continuation point says at which place of the record the next one begins. One request at a time.
 */
public final class EventHistory {
    private static final int PAGE = 500;
    private static final int BATCH = 500;
    /** What one request looks at, at most; the next goes on from there. */
    private static final int LOOKED_AT = 20_000;
    /** Event times are not in the order of the record where the clock was set. */
    private static final long CLOCK_SET_MILLIS = Duration.ofDays(1).toMillis();

    private final Past past;
    private final EventSide side;
    private final EncodingContext encoding;
    private final Semaphore one = new Semaphore(1);

    /** The event record. Thread-safe. */
    public interface Past {
        /** Events after a position, oldest first. */
        List<RecordedEvent> after(long position, int max);

        /** Events before a position, newest first; {@link Long#MAX_VALUE} for the newest of all. */
        List<RecordedEvent> before(long position, int max);
    }

    public EventHistory(Past past, EventSide side, EncodingContext encoding) {
        this.past = past;
        this.side = side;
        this.encoding = encoding;
    }

    /** @param id of a notifier of the station. */
    public HistoryReadResult read(ReadEventDetails details, HistoryReadValueId id) {
        EventFilter filter = details.getFilter();
        if (filter == null) {
            return failed(StatusCodes.Bad_EventFilterInvalid);
        }
        FilterAnswer answer = side.check(filter);
        if (!answer.status().isGood()) {
            return new HistoryReadResult(answer.status(), null, null);
        }
        Span span = Span.of(details);
        if (span == null) {
            return failed(StatusCodes.Bad_HistoryOperationInvalid);
        }
        ByteString point = id.getContinuationPoint();
        if (point != null && !point.isNull() && point.length() != Long.BYTES) {
            return failed(StatusCodes.Bad_ContinuationPointInvalid);
        }
        if (!one.tryAcquire()) {
            return failed(StatusCodes.Bad_TooManyOperations);
        }
        try {
            long position = point == null || point.isNull()
                    ? span.forward() ? begin(span) : Long.MAX_VALUE
                    : ByteBuffer.wrap(point.bytesOrEmpty()).getLong();
            return page(span, position, side.past(filter, id.getNodeId()));
        } finally {
            one.release();
        }
    }

    /**
     * What is asked for.
     *
     * @param from wall time in ms, included.
     * @param to wall time in ms, included.
     * @param forward oldest first.
     * @param most events in one answer.
     */
    private record Span(long from, long to, boolean forward, int most) {
        /** Null where fewer than two of start, end and number are given. */
        static @Nullable Span of(ReadEventDetails details) {
            Long start = millis(details.getStartTime());
            Long end = millis(details.getEndTime());
            long number = details.getNumValuesPerNode() == null
                    ? 0
                    : details.getNumValuesPerNode().longValue();
            int most = (int) (number == 0 ? PAGE : Math.min(PAGE, number));
            boolean two = start != null && end != null;
            if (!two && number == 0) {
                return null;
            }
            if (start == null) {
                return end == null ? null : new Span(Long.MIN_VALUE, end, false, most);
            }
            if (end == null) {
                return new Span(start, Long.MAX_VALUE, true, most);
            }
            return start <= end ? new Span(start, end, true, most) : new Span(end, start, false, most);
        }

        private static @Nullable Long millis(@Nullable DateTime time) {
            return time == null || time.getUtcTime() == 0 ? null : time.getJavaTime();
        }

        boolean has(long wallMillis) {
            return wallMillis >= from && wallMillis <= to;
        }
    }

    /** A place before which nothing lies that is asked for: found in ever larger steps back from the newest. */
    private long begin(Span span) {
        List<RecordedEvent> newest = past.before(Long.MAX_VALUE, 1);
        long position = newest.isEmpty() ? 0 : newest.get(0).position();
        for (long step = BATCH; position > 0; step *= 2) {
            position = Math.max(0, position - step);
            List<RecordedEvent> there = past.before(position + 1, 1);
            if (there.isEmpty() || wall(there.get(0)) < span.from() - CLOCK_SET_MILLIS) {
                return position;
            }
        }
        return 0;
    }

    private HistoryReadResult page(Span span, long from, Function<RecordedEvent, Variant @Nullable []> fields) {
        List<HistoryEventFieldList> found = new ArrayList<>();
        long position = from;
        int lookedAt = 0;
        while (lookedAt < LOOKED_AT) {
            List<RecordedEvent> batch = span.forward() ? past.after(position, BATCH) : past.before(position, BATCH);
            if (batch.isEmpty()) {
                return result(found, null);
            }
            for (RecordedEvent event : batch) {
                if (found.size() == span.most()) {
                    return result(found, position);
                }
                position = event.position();
                lookedAt++;
                if (!span.forward() && wall(event) < span.from() - CLOCK_SET_MILLIS) {
                    return result(found, null);
                }
                Variant[] selected = span.has(wall(event)) ? fields.apply(event) : null;
                if (selected != null) {
                    found.add(new HistoryEventFieldList(selected));
                }
            }
        }
        return result(found, position);
    }

    private static long wall(RecordedEvent event) {
        return event.event().at().wallMillis();
    }

    private HistoryReadResult result(List<HistoryEventFieldList> found, @Nullable Long goOn) {
        return new HistoryReadResult(
                StatusCode.GOOD,
                goOn == null
                        ? null
                        : ByteString.of(
                                ByteBuffer.allocate(Long.BYTES).putLong(goOn).array()),
                ExtensionObject.encode(encoding, new HistoryEvent(found.toArray(new HistoryEventFieldList[0]))));
    }

    private static HistoryReadResult failed(long status) {
        return new HistoryReadResult(new StatusCode(status), null, null);
    }
}
