package oilbird.gateway.engine.writer;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationModel;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.LinkFilter;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.outbox.LinkState;
import oilbird.gateway.engine.outbox.Outbox;
import oilbird.gateway.engine.queue.InputSink;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.Incarnation;
import oilbird.gateway.engine.record.MissedEvents;
import oilbird.gateway.engine.record.RecordBound;
import oilbird.gateway.engine.record.RecordFormatException;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.record.Recovered;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * The engine of one station, put together: record opened, incarnation raised, fold restored, outbox and writer ready.
 * Listeners and links are added, then {@link #start()} is called, then pollers may offer inputs.
 */
public final class StationEngine implements AutoCloseable {
    private static final int KEPT_FOR_LINKS = 10_000;

    private final EventRecord record;
    private final Recovered recovered;
    private final Incarnation incarnation;
    private final Outbox outbox;
    private final StationWriter writer;
    private final GatewayClock clock;
    private final List<LinkRunner> links = new ArrayList<>();
    private final Set<String> overBudget = new HashSet<>();

    private StationEngine(
            EventRecord record,
            Recovered recovered,
            Incarnation incarnation,
            Outbox outbox,
            StationWriter writer,
            GatewayClock clock) {
        this.record = record;
        this.recovered = recovered;
        this.incarnation = incarnation;
        this.outbox = outbox;
        this.writer = writer;
        this.clock = clock;
    }

    /**
     * @param data folder of the event record and the incarnation file; made if missing.
     * @param gatewayId id of the gateway in the station file.
     * @throws RecordFormatException if a newer version of the program wrote the record.
     */
    public static StationEngine open(
            StationModel model, String gatewayId, Path data, GatewayClock clock, WriterSettings settings)
            throws RecordFormatException {
        return open(model, gatewayId, data, clock, settings, RecordBound.DEFAULT);
    }

    /**
     * @param data folder of the event record and the incarnation file; made if missing.
     * @param gatewayId id of the gateway in the station file.
     * @param bound how large the event record may grow.
     * @throws RecordFormatException if a newer version of the program wrote the record.
     */
    public static StationEngine open(
            StationModel model,
            String gatewayId,
            Path data,
            GatewayClock clock,
            WriterSettings settings,
            RecordBound bound)
            throws RecordFormatException {
        Moment now = clock.now();
        EventRecord.Opened opened = EventRecord.open(data, now, bound);
        EventRecord record = opened.record();
        Recovered recovered = opened.recovered();
        try {
            Incarnation incarnation = Incarnation.raise(data, recovered, now);
            StationFold fold = StationFold.start(model, recovered.past(), gatewayId, incarnation.number(), clock.now());
            Set<GatewayIndication> lasting = EnumSet.noneOf(GatewayIndication.class);
            if (!incarnation.durable()) {
                lasting.add(GatewayIndication.START_NOT_RECORDED);
            }
            Outbox outbox = new Outbox(record, recovered.nextPosition() - 1, recovered.links(), KEPT_FOR_LINKS);
            StationWriter writer =
                    new StationWriter(fold, record, outbox, recovered.nextPosition(), lasting, clock, settings);
            return new StationEngine(record, recovered, incarnation, outbox, writer, clock);
        } catch (RuntimeException e) {
            record.close();
            throw e;
        }
    }

    public InputSink inputs() {
        return writer.inputs();
    }

    public ActDoor acts() {
        return writer;
    }

    public StationWriter writer() {
        return writer;
    }

    public EventRecord record() {
        return record;
    }

    public Incarnation incarnation() {
        return incarnation;
    }

    /** What the record had to say at the start. */
    public Recovered recovered() {
        return recovered;
    }

    /** Adds a link that tells everything; before {@link #start()}. */
    public void addLink(Link link, LinkRunner.Settings settings) {
        addLink(link, settings, LinkFilter.NONE, 0);
    }

    /**
     * Adds a link; before {@link #start()}.
     *
     * @param bytesADay the budget of its line; 0 for none.
     */
    public void addLink(Link link, LinkRunner.Settings settings, LinkFilter only, long bytesADay) {
        LinkRunner.Load load = LinkRunner.Load.of(only, this::rule, bytesADay);
        links.add(new LinkRunner(link, outbox, clock, settings, new Lost(), load));
    }

    private @Nullable RuleInstance rule(AlarmId alarm) {
        StationView view = writer.view();
        StationView.AlarmView seen = view == null ? null : view.alarms().get(alarm);
        return seen == null ? null : seen.rule();
    }

    /** Noted and alarmed: what a link's other side will never have, and what it costs more than it should. */
    private final class Lost implements LinkRunner.Losses {
        @Override
        public void refused(String link, RecordedEvent event, String why) {
            // Unless it is a notice itself: the other side may refuse what tells of its refusal.
            if (event.event() instanceof StationEvent.OfAlarm) {
                note(
                        StationEvent.Notice.Kind.EVENT_REFUSED,
                        link,
                        "event " + event.event().id() + ": " + why);
                writer.holds(GatewayIndication.EVENTS_REFUSED, true);
            }
        }

        @Override
        public void missed(String link, MissedEvents events) {
            note(
                    StationEvent.Notice.Kind.EVENTS_MISSED,
                    link,
                    "events " + events.first() + " to " + events.last()
                            + " were removed from the event record before the other side had them");
            writer.holds(GatewayIndication.LINK_EVENTS_MISSED, true);
        }

        @Override
        public void budget(String link, boolean used) {
            boolean any;
            synchronized (overBudget) {
                if (used) {
                    overBudget.add(link);
                } else {
                    overBudget.remove(link);
                }
                any = !overBudget.isEmpty();
            }
            writer.holds(GatewayIndication.LINK_BUDGET_USED, any);
        }

        private void note(StationEvent.Notice.Kind kind, String link, String text) {
            writer.inputs()
                    .offer(new StationInput.Noticed(
                            kind, new SignalId(GatewayIndication.DEVICE, link), text, clock.now()));
        }
    }

    /**
     * Whether a link's other side has the event at a position.
     *
     * @return completes with true when it is confirmed, with false when it will never be taken; empty where there is no
     *     such link.
     */
    public Optional<CompletableFuture<Boolean>> whenConfirmed(String link, long position) {
        return links.stream()
                .filter(runner -> runner.link().equals(link))
                .findFirst()
                .map(runner -> runner.whenConfirmed(position));
    }

    public List<LinkState> links() {
        return links.stream().map(LinkRunner::state).toList();
    }

    /** Starts the writer and the links. */
    public void start() {
        writer.start();
        links.forEach(LinkRunner::start);
    }

    /** Commits what waits, ends the threads and closes the record. Pollers are to be closed before. */
    @Override
    public void close() {
        links.forEach(LinkRunner::close);
        writer.close();
        record.close();
    }
}
