package oilbird.gateway.opcua;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.Set;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.concurrent.locks.Condition;
import java.util.concurrent.locks.ReentrantLock;
import java.util.function.Consumer;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.poll.BackOff;
import oilbird.gateway.engine.poll.Notice;
import oilbird.gateway.engine.poll.Waits;
import oilbird.gateway.engine.queue.InputSink;
import oilbird.gateway.opcua.ServerConnection.Opening;
import oilbird.gateway.opcua.trust.OwnCertificate;
import oilbird.gateway.opcua.trust.OwnCertificateFolder;
import oilbird.gateway.opcua.trust.ServerCheck;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.NodeName;
import oilbird.mapping.address.NodeSnapshot;
import oilbird.mapping.address.NodeValue;
import oilbird.mapping.map.Identification;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * Follows one server in a thread of its own: opens a session, subscribes or reads, and starts anew when the session is
 * lost. Every loss is told for every block, so that no gap looks like a time in which nothing happened.
 */
final class Follower implements Runnable {
    private static final int STACK_BYTES = 512 * 1024;
    private static final long GOOD_BYE_MILLIS = 1_000;
    private static final int READS_LOST = 2;
    /** Publishing intervals within which the server must have told the first values. */
    private static final int FIRST_VALUES_WITHIN = 3;

    private final OpcUaDevice device;
    private final OwnCertificateFolder own;
    private final ServerCheck check;
    private final Path secrets;
    private final InputSink sink;
    private final GatewayClock clock;
    private final Consumer<Notice> notices;
    private final BackOff backOff;
    private final BackOff suspension;
    private final Thread thread;

    private final ReentrantLock lock = new ReentrantLock();
    private final Condition news = lock.newCondition();
    private boolean stopped;
    /** Raised with every session; what an earlier one still has to tell is not listened to. Under the lock. */
    private long session;

    /** Why the present session is of no use any more. Under the lock. */
    private @Nullable String lost;

    private boolean uncertain;
    private ServerStatus.Condition condition = ServerStatus.Condition.NOT_YET_ASKED;
    private @Nullable String detail;
    private ServerStatus.@Nullable FoundProduct found;
    private long sessions;
    private long failures;
    private long snapshots;
    private final Map<Integer, String> told = new LinkedHashMap<>();

    Follower(
            OpcUaDevice device,
            OwnCertificateFolder own,
            ServerCheck check,
            Path secrets,
            InputSink sink,
            GatewayClock clock,
            Waits waits,
            Consumer<Notice> notices) {
        this.device = device;
        this.own = own;
        this.check = check;
        this.secrets = secrets;
        this.sink = sink;
        this.clock = clock;
        this.notices = notices;
        Random random = new Random(waits.seed() ^ device.device().hashCode());
        backOff = waits.backOff(random);
        suspension = waits.suspension(random);
        thread = new Thread(null, this, "opc-ua " + device.device(), STACK_BYTES);
        thread.setDaemon(true);
    }

    void start() {
        thread.start();
    }

    void stop() {
        lock.lock();
        try {
            stopped = true;
            news.signalAll();
        } finally {
            lock.unlock();
        }
        thread.interrupt();
    }

    void join(long millis) throws InterruptedException {
        thread.join(millis);
    }

    ServerStatus status() {
        lock.lock();
        try {
            return new ServerStatus(
                    device.device(), condition, detail, found, new ServerStatus.Counts(sessions, failures, snapshots));
        } finally {
            lock.unlock();
        }
    }

    @Override
    public void run() {
        try {
            while (!isStopped()) {
                followGuarded();
            }
        } catch (InterruptedException end) {
            // Stopped.
        }
    }

    private boolean isStopped() {
        lock.lock();
        try {
            return stopped;
        } finally {
            lock.unlock();
        }
    }

    private void followGuarded() throws InterruptedException {
        try {
            follow();
        } catch (RuntimeException bug) {
            // A device whose thread dies would leave its last values standing as good.
            tell(2299, "internal error: " + bug);
            failed(QualityReason.INVALID_ANSWER, "internal error: " + bug, ServerStatus.Condition.FAILING);
            pause(backOff.take());
        }
    }

    private void follow() throws InterruptedException {
        OwnCertificate certificate;
        try {
            certificate = own.certificate(Instant.ofEpochMilli(clock.now().wallMillis()));
        } catch (IOException e) {
            String why = "the gateway's own certificate cannot be used: " + e.getMessage();
            failed(QualityReason.UNREACHABLE, why, ServerStatus.Condition.FAILING);
            tellOnce(2213, why);
            pause(suspension.take());
            return;
        }
        long mine = newSession();
        Opening opening = ServerConnection.open(device.endpoint(), certificate, check, secrets, why -> lose(mine, why));
        if (opening instanceof Opening.NotOpened notOpened) {
            failed(notOpened.reason(), notOpened.detail(), ServerStatus.Condition.FAILING);
            tellOnce(number(notOpened.failure()), notOpened.detail() + remedy(notOpened.failure()));
            pause(notOpened.lasting() ? suspension.take() : backOff.take());
            return;
        }
        ServerConnection connection = ((Opening.Opened) opening).connection();
        try {
            count(() -> sessions++);
            if (identified(connection)) {
                new Session(connection, mine).run();
            }
        } catch (ExecutionException | TimeoutException e) {
            lose(mine, ServerConnection.detail(e));
        } finally {
            endSession();
            if (isStopped()) {
                Thread.interrupted();
                connection.closeAndWait(Duration.ofMillis(GOOD_BYE_MILLIS));
            } else {
                connection.close();
            }
        }
        String why = takeLoss();
        if (why != null && !isStopped()) {
            failed(QualityReason.UNREACHABLE, why, ServerStatus.Condition.FAILING);
            tellOnce(2203, "is not followed any more: " + why);
            pause(backOff.take());
        }
    }

    private static int number(ServerConnection.Failure failure) {
        return switch (failure) {
            case UNREACHABLE -> 2203;
            case SERVER_NOT_TRUSTED -> 2210;
            case GATEWAY_NOT_TRUSTED -> 2211;
            case USER_REFUSED, SECRET_MISSING -> 2204;
            case NO_SUCH_ENDPOINT -> 2202;
        };
    }

    private static String remedy(ServerConnection.Failure failure) {
        return switch (failure) {
            case SERVER_NOT_TRUSTED -> "; it was set aside: if it is the monitor's, let \"oilbird trust\" accept it";
            case GATEWAY_NOT_TRUSTED -> "; the monitor must trust opc-ua/own.der of the gateway's data folder";
            case USER_REFUSED -> "; correct it soon: servers lock a user out after some wrong attempts";
            case NO_SUCH_ENDPOINT -> "; correct security and mode in the station file, or the settings of the monitor";
            case UNREACHABLE, SECRET_MISSING -> "";
        };
    }

    private long newSession() {
        lock.lock();
        try {
            lost = null;
            return ++session;
        } finally {
            lock.unlock();
        }
    }

    private void endSession() {
        lock.lock();
        try {
            session++;
        } finally {
            lock.unlock();
        }
    }

    /** Called from any thread. */
    private void lose(long of, String why) {
        lock.lock();
        try {
            if (of == session && lost == null) {
                lost = why;
                news.signalAll();
            }
        } finally {
            lock.unlock();
        }
    }

    private @Nullable String takeLoss() {
        lock.lock();
        try {
            String why = lost;
            lost = null;
            return why;
        } finally {
            lock.unlock();
        }
    }

    private void pause(long nanos) throws InterruptedException {
        lock.lockInterruptibly();
        try {
            long left = nanos;
            while (left > 0 && !stopped) {
                left = news.awaitNanos(left);
            }
        } finally {
            lock.unlock();
        }
    }

    /** False where another product answers, which has then been told. */
    private boolean identified(ServerConnection connection)
            throws ExecutionException, TimeoutException, InterruptedException {
        Identification expected = device.expected();
        uncertain = false;
        if (expected == null) {
            return true;
        }
        List<NodeValue> texts = connection.read(List.of(
                device.plan().vendor(), device.plan().product(), device.plan().firmware()));
        ServerStatus.FoundProduct product = ServerStatus.FoundProduct.of(texts);
        count(() -> found = product);
        if (product.vendor() == null && product.product() == null && product.firmware() == null) {
            tellOnce(2208, "does not say what it is; it is followed, and whether the device map fits is not checked");
            return true;
        }
        switch (expected.judge(product.vendor(), product.product(), product.firmware())) {
            case AS_MAPPED -> suspension.reset();
            case OTHER_FIRMWARE -> {
                uncertain = true;
                String text = "runs firmware " + product.firmware() + "; the device map was checked against "
                        + String.join(", ", expected.firmware());
                if (tellOnce(2207, text + "; its readings are uncertain")) {
                    sink.offer(new StationInput.Noticed(
                            StationEvent.Notice.Kind.OTHER_FIRMWARE,
                            new SignalId(device.device(), "identification"),
                            text,
                            clock.now()));
                }
            }
            case OTHER_PRODUCT -> {
                String text = "the server says it is " + product + "; the device map is for " + expected.shown();
                failed(QualityReason.OTHER_PRODUCT, text, ServerStatus.Condition.OTHER_PRODUCT);
                tellOnce(2206, text + "; it is not followed");
                endSession();
                connection.close();
                pause(suspension.take());
                return false;
            }
        }
        return true;
    }

    /** Tells that nothing is known of any block. */
    private void failed(QualityReason reason, String why, ServerStatus.Condition now) {
        lock.lock();
        try {
            failures++;
            condition = now;
            detail = why;
            for (NodeBlock block : device.plan().blocks()) {
                sink.offer(new StationInput.RequestFailed(device.device(), block.name(), reason, why, clock.now()));
            }
        } finally {
            lock.unlock();
        }
    }

    /** Offers what a block says; under the lock. */
    private void offer(NodeSnapshot snapshot) {
        Decoded decoded = device.decoder().decode(snapshot, clock.now());
        sink.offer(new StationInput.Observed(uncertain ? uncertain(decoded) : decoded));
        snapshots++;
        if (condition != ServerStatus.Condition.ANSWERING) {
            ServerStatus.Condition before = condition;
            condition = ServerStatus.Condition.ANSWERING;
            detail = null;
            backOff.reset();
            suspension.reset();
            told.keySet().removeIf(number -> number != 2207 && number != 2208 && number != 2209 && number != 2205);
            tell(2201, before == ServerStatus.Condition.NOT_YET_ASKED ? "answers" : "answers again");
        }
    }

    /** Under another firmware a node may mean something else: it may raise an alarm, but never clear one. */
    private static Decoded uncertain(Decoded decoded) {
        return new Decoded(
                decoded.device(),
                decoded.block(),
                decoded.readings().stream()
                        .map(reading -> reading.degraded(QualityReason.OTHER_FIRMWARE))
                        .toList(),
                decoded.indications().stream()
                        .map(indication -> indication.state() == IndicationState.DOES_NOT_HOLD
                                ? Indication.cannotBeTold(
                                        indication.id(), QualityReason.OTHER_FIRMWARE, indication.at())
                                : indication)
                        .toList(),
                decoded.words(),
                decoded.at(),
                decoded.raw());
    }

    private void count(Runnable change) {
        lock.lock();
        try {
            change.run();
        } finally {
            lock.unlock();
        }
    }

    private void tell(int number, String text) {
        notices.accept(new Notice(number, device.device(), text));
    }

    /** True the first time in a row that this is told. */
    private boolean tellOnce(int number, String text) {
        lock.lock();
        try {
            if (text.equals(told.put(number, text))) {
                return false;
            }
        } finally {
            lock.unlock();
        }
        tell(number, text);
        return true;
    }

    /** One session while it lasts. */
    private final class Session {
        private final ServerConnection connection;
        private final long id;
        private final List<Subscribed> subscribed = new ArrayList<>();
        private final List<Read> reads = new ArrayList<>();

        Session(ServerConnection connection, long id) {
            this.connection = connection;
            this.id = id;
        }

        void run() throws ExecutionException, TimeoutException, InterruptedException {
            for (NodeBlock block : device.plan().blocks()) {
                if (!block.subscribed() || !subscribe(block)) {
                    reads.add(new Read(block, System.nanoTime()));
                }
            }
            Set<String> missing = new LinkedHashSet<>(connection.missingNamespaces());
            if (!missing.isEmpty()) {
                tellOnce(2205, "has no namespace " + String.join(" and no ", missing) + "; check the device map");
            }
            while (true) {
                long now = System.nanoTime();
                long due = Long.MAX_VALUE;
                for (Read read : reads) {
                    if (read.due - now <= 0) {
                        read.read(now);
                    }
                    due = Math.min(due, read.due - now);
                }
                for (Subscribed block : List.copyOf(subscribed)) {
                    due = Math.min(due, block.look(now));
                }
                lock.lockInterruptibly();
                try {
                    if (lost != null || stopped) {
                        return;
                    }
                    if (due > 0) {
                        news.awaitNanos(Math.min(due, TimeUnit.SECONDS.toNanos(1)));
                    }
                } finally {
                    lock.unlock();
                }
            }
        }

        private boolean subscribe(NodeBlock block) throws ExecutionException, InterruptedException {
            Subscribed follows = new Subscribed(block);
            BlockSubscription.Taking taking = connection.subscribe(block, device.period(block), follows);
            if (taking instanceof BlockSubscription.Taking.NotTaken notTaken) {
                follows.dropped = true;
                tellOnce(
                        2209,
                        "takes no subscription for " + block.name() + " (" + notTaken.why()
                                + "); its nodes are read instead, so a change shorter than the period may be missed");
                return false;
            }
            follows.taken((BlockSubscription.Taking.Taken) taking);
            subscribed.add(follows);
            return true;
        }

        private NodeSnapshot snapshot(NodeBlock block)
                throws ExecutionException, TimeoutException, InterruptedException {
            List<NodeName> names =
                    block.items().stream().map(i -> i.node().name()).toList();
            return new NodeSnapshot(block, connection.read(names));
        }

        private void offerHere(NodeSnapshot snapshot) {
            lock.lock();
            try {
                if (id == session && lost == null) {
                    offer(snapshot);
                    tellOfUnknown(snapshot);
                }
            } finally {
                lock.unlock();
            }
        }

        private void tellOfUnknown(NodeSnapshot snapshot) {
            List<String> unknown = new ArrayList<>();
            for (int i = 0; i < snapshot.values().size(); i++) {
                NodeValue value = snapshot.values().get(i);
                if (value.refused()) {
                    unknown.add(snapshot.block().items().get(i).node().name() + " (" + value.statusName() + ")");
                }
            }
            if (!unknown.isEmpty()) {
                tellOnce(2205, "does not give " + String.join(", ", unknown) + "; check the device map");
            }
        }

        /** A block that is read at its period. */
        private final class Read {
            private final NodeBlock block;
            private final long period;
            private long due;
            private int lostInARow;

            Read(NodeBlock block, long due) {
                this.block = block;
                this.period = device.period(block).toNanos();
                this.due = due;
            }

            void read(long now) throws ExecutionException, TimeoutException, InterruptedException {
                due += ((now - due) / period + 1) * period;
                try {
                    offerHere(snapshot(block));
                    lostInARow = 0;
                } catch (ExecutionException | TimeoutException e) {
                    if (++lostInARow >= READS_LOST) {
                        throw e;
                    }
                    sink.offer(new StationInput.RequestFailed(
                            device.device(),
                            block.name(),
                            QualityReason.UNREACHABLE,
                            ServerConnection.detail(e),
                            clock.now()));
                }
            }
        }

        /** A block of which the server tells the changes. */
        private final class Subscribed implements BlockSubscription.Listener {
            private final NodeBlock block;
            private final BlockImage image;
            private @Nullable BlockSubscription subscription;
            private boolean dropped;
            private long silence = Long.MAX_VALUE;
            private long firstBy;
            private long heard = System.nanoTime();
            private @Nullable String gap;

            Subscribed(NodeBlock block) {
                this.block = block;
                this.image = new BlockImage(block);
            }

            void taken(BlockSubscription.Taking.Taken taken) {
                lock.lock();
                try {
                    heard = System.nanoTime();
                    subscription = taken.subscription();
                    silence = taken.silence().toNanos();
                    firstBy = heard
                            + taken.interval().multipliedBy(FIRST_VALUES_WITHIN).toNanos()
                            + device.endpoint().deadline().toNanos();
                    image.take(taken.refused()).forEach(this::offerNow);
                } finally {
                    lock.unlock();
                }
            }

            private boolean present() {
                return id == session && lost == null && !dropped;
            }

            private void offerNow(NodeSnapshot snapshot) {
                offer(snapshot);
                tellOfUnknown(snapshot);
            }

            @Override
            public void told(List<BlockImage.Change> changes) {
                lock.lock();
                try {
                    if (present()) {
                        heard = System.nanoTime();
                        image.take(changes).forEach(this::offerNow);
                    }
                } catch (RuntimeException bug) {
                    lose(id, "internal error: " + bug);
                } finally {
                    lock.unlock();
                }
            }

            @Override
            public void stands() {
                lock.lock();
                try {
                    NodeSnapshot snapshot = image.snapshot();
                    if (present()) {
                        heard = System.nanoTime();
                        if (snapshot != null) {
                            offerNow(snapshot);
                        }
                    }
                } catch (RuntimeException bug) {
                    lose(id, "internal error: " + bug);
                } finally {
                    lock.unlock();
                }
            }

            @Override
            public void gap(String why) {
                lock.lock();
                try {
                    if (present()) {
                        gap = why;
                        news.signalAll();
                    }
                } finally {
                    lock.unlock();
                }
            }

            @Override
            public void ended(String why) {
                lose(id, why);
            }

            /** Looks after it; returns in how many nanoseconds to look again. */
            long look(long now) throws ExecutionException, TimeoutException, InterruptedException {
                String toTell;
                boolean late;
                long quiet;
                lock.lock();
                try {
                    toTell = gap;
                    gap = null;
                    late = now - firstBy > 0 && !image.missing().isEmpty();
                    quiet = now - heard;
                } finally {
                    lock.unlock();
                }
                if (quiet > silence) {
                    fellSilent("nothing was heard of the subscription for " + TimeUnit.NANOSECONDS.toMillis(quiet)
                            + " ms");
                    return 0;
                }
                if (toTell != null) {
                    tellOfGap(toTell);
                }
                if (toTell != null || late) {
                    readWhatIsMissing(toTell != null);
                }
                return silence - quiet;
            }

            /** Where the server still answers when it is asked, its nodes are read until the session ends. */
            private void fellSilent(String why) throws InterruptedException {
                NodeSnapshot read;
                try {
                    read = snapshot(block);
                } catch (ExecutionException | TimeoutException gone) {
                    lose(id, why);
                    return;
                }
                lock.lock();
                try {
                    dropped = true;
                } finally {
                    lock.unlock();
                }
                if (subscription != null) {
                    subscription.end();
                }
                tellOfGap(why);
                tellOnce(
                        2209,
                        "has let the subscription for " + block.name()
                                + " fall silent; its nodes are read instead, so a change shorter than the period may be missed");
                offerHere(read);
                subscribed.remove(this);
                reads.add(new Read(block, System.nanoTime()));
            }

            private void tellOfGap(String why) {
                String text = "values of " + block.name() + " between two answers were lost: " + why;
                if (tellOnce(2212, text)) {
                    sink.offer(new StationInput.Noticed(
                            StationEvent.Notice.Kind.INPUTS_LOST,
                            new SignalId(device.device(), block.name()),
                            text,
                            clock.now()));
                }
            }

            /** Reads nodes of which the server told nothing, or all of them after a gap. */
            private void readWhatIsMissing(boolean all)
                    throws ExecutionException, TimeoutException, InterruptedException {
                NodeSnapshot read = snapshot(block);
                lock.lock();
                try {
                    if (!present()) {
                        return;
                    }
                    List<BlockImage.Change> changes = new ArrayList<>();
                    List<Integer> missing = image.missing();
                    for (int i = 0; i < read.values().size(); i++) {
                        if (all || missing.contains(i)) {
                            changes.add(new BlockImage.Change(i, read.values().get(i)));
                        }
                    }
                    image.take(changes).forEach(this::offerNow);
                } finally {
                    lock.unlock();
                }
            }
        }
    }
}
