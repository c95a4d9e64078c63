package oilbird.gateway.engine.outbox.contract;

import java.io.IOException;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationView;
import oilbird.gateway.contract.AlarmStateForm;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.record.RecordedEvent;

/** The contract itself, on a peer in memory. */
class InMemoryLinkContractTest extends LinkContract {
    @Override
    protected Peer peer() {
        return new Memory();
    }

    private static final class Memory implements Peer {
        private final List<Arrival> arrivals = new ArrayList<>();
        private final Map<AlarmId, Picture> pictures = new HashMap<>();
        private boolean there = true;
        private boolean silent;

        @Override
        public Link link(Surroundings around) {
            return new Link() {
                @Override
                public String id() {
                    return around.link();
                }

                @Override
                public void open() throws IOException {
                    synchronized (Memory.this) {
                        if (!there) {
                            throw new IOException("nobody there");
                        }
                        StationView now = around.view().get();
                        now.alarms().values().forEach(alarm -> take(around.forms(), alarm, now));
                    }
                }

                @Override
                public CompletionStage<Void> send(RecordedEvent event) throws IOException {
                    synchronized (Memory.this) {
                        if (silent) {
                            return new CompletableFuture<>();
                        }
                        if (!there) {
                            throw new IOException("nobody there");
                        }
                        take(event, around.forms(), around.view().get());
                        return CompletableFuture.completedFuture(null);
                    }
                }

                @Override
                public boolean isOpen() {
                    synchronized (Memory.this) {
                        return there;
                    }
                }

                @Override
                public void close() {}
            };
        }

        private void take(RecordedEvent event, Forms forms, StationView now) {
            if (event.event() instanceof StationEvent.OfAlarm ofAlarm) {
                AlarmEvent of = ofAlarm.event();
                arrivals.add(new Arrival(
                        ofAlarm.id().toString(),
                        of.alarm(),
                        Forms.kind(event),
                        of.test(),
                        of.quality() != oilbird.mapping.signal.Quality.GOOD));
                take(forms, Objects.requireNonNull(Forms.atLeast(now, ofAlarm)), now);
            } else {
                arrivals.add(new Arrival(event.event().id().toString(), null, Forms.kind(event), false, false));
                now.alarms().values().forEach(alarm -> take(forms, alarm, now));
            }
        }

        private void take(Forms forms, StationView.AlarmView alarm, StationView now) {
            AlarmStateForm form = forms.outgoing(alarm, now);
            pictures.put(
                    alarm.state().id(),
                    new Picture(
                            form.active(),
                            form.acknowledged(),
                            form.shelved() != null,
                            form.test() != null,
                            !form.quality().equals("good")));
        }

        @Override
        public synchronized List<Arrival> arrivals() {
            return List.copyOf(arrivals);
        }

        @Override
        public synchronized Optional<Picture> picture(AlarmId alarm) {
            return Optional.ofNullable(pictures.get(alarm));
        }

        @Override
        public synchronized void stop() {
            there = false;
            pictures.clear();
        }

        @Override
        public synchronized void startAgain() {
            there = true;
        }

        @Override
        public synchronized void fallSilent() {
            silent = true;
        }

        @Override
        public synchronized void answerAgain() {
            silent = false;
        }

        @Override
        public void close() {}
    }
}
