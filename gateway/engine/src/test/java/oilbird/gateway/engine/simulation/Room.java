package oilbird.gateway.engine.simulation;

import java.io.IOException;
import java.util.ArrayDeque;
import java.util.SplittableRandom;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import oilbird.alarm.station.StationEvent;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.LinkFilter;
import oilbird.gateway.engine.record.RecordedEvent;
import org.jspecify.annotations.Nullable;

/**
 * A control room and the line to it. The line breaks, delays and repeats; where it keeps order, what arrives of a broken
 * connection is what was sent first.
 */
final class Room implements Link {
    private final String id;
    private final boolean keepsOrder;
    private final @Nullable LinkFilter only;
    private final World world;
    private final SplittableRandom random;
    private final ArrayDeque<Message> onTheLine = new ArrayDeque<>();
    private boolean there = true;
    private boolean open;
    private int session;

    private record Message(RecordedEvent event, CompletableFuture<Void> confirmed, int session) {}

    /**
     * @param only what it is to be told; null for everything.
     */
    Room(String id, boolean keepsOrder, @Nullable LinkFilter only, World world, SplittableRandom random) {
        this.only = only;
        this.id = id;
        this.keepsOrder = keepsOrder;
        this.world = world;
        this.random = random;
    }

    @Nullable
    LinkFilter only() {
        return only;
    }

    /** The control room's machine goes away or comes back. */
    void there(boolean now) {
        there = now;
        if (!there) {
            breakConnection();
        }
    }

    @Override
    public String id() {
        return id;
    }

    @Override
    public boolean keepsOrder() {
        return keepsOrder;
    }

    @Override
    public boolean isOpen() {
        return open;
    }

    @Override
    public void open() throws IOException {
        if (!there) {
            throw new IOException("no route");
        }
        open = true;
        session++;
    }

    @Override
    public void close() {
        breakConnection();
    }

    /** Also when the gateway dies: some of what is on the line still arrives. */
    void breakConnection() {
        open = false;
        int arriving = onTheLine.isEmpty() ? 0 : random.nextInt(onTheLine.size() + 1);
        for (Message message = onTheLine.poll(); message != null; message = onTheLine.poll()) {
            if (keepsOrder ? arriving-- > 0 : random.nextBoolean()) {
                world.observer().arrived(id, message.event());
            }
        }
    }

    @Override
    public CompletionStage<Void> send(RecordedEvent event) throws IOException {
        world.step("before an event is sent");
        if (!open) {
            throw new IOException("broken");
        }
        double line = world.chances().line();
        if (random.nextDouble() < line / 4) {
            breakConnection();
            throw new IOException("broken while sending");
        }
        CompletableFuture<Void> confirmed = new CompletableFuture<>();
        if ((world.fault() == PlantedFault.LINK_CONFIRMS_WHAT_NEVER_ARRIVED && random.nextInt(4) == 0)
                || (world.fault() == PlantedFault.LINK_SWALLOWS_NOTICES
                        && event.event() instanceof StationEvent.Notice)) {
            confirmed.complete(null);
            return confirmed;
        }
        Message message = new Message(event, confirmed, session);
        boolean swapped = world.fault() == PlantedFault.LINK_SWAPS_EVENTS && random.nextInt(4) == 0;
        if (swapped) {
            onTheLine.addFirst(message);
        } else {
            onTheLine.addLast(message);
        }
        world.timeline().in(random.nextInt(200) * Timeline.MILLI, () -> arrive(message));
        world.step("after an event is sent");
        return confirmed;
    }

    private void arrive(Message message) {
        if (message.session() != session || !open) {
            return;
        }
        if (!keepsOrder) {
            if (onTheLine.remove(message)) {
                take(message);
            }
            return;
        }
        // One line: what was sent before arrives before.
        while (onTheLine.contains(message)) {
            take(onTheLine.remove());
        }
    }

    private void take(Message message) {
        world.observer().arrived(id, message.event());
        double line = world.chances().line();
        if (random.nextDouble() < line / 4) {
            world.observer().arrived(id, message.event());
        }
        if (random.nextDouble() >= line / 8) {
            world.timeline().in(random.nextInt(100) * Timeline.MILLI, () -> {
                if (message.session() == session && open) {
                    message.confirmed().complete(null);
                }
            });
        }
    }
}
