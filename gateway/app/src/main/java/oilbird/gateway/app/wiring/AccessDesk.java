package oilbird.gateway.app.wiring;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.atomic.AtomicLong;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.AccessRules;
import oilbird.gateway.access.AccountStore;
import oilbird.gateway.access.Accounts;
import oilbird.gateway.access.OwnerOnly;
import oilbird.gateway.access.ServerCertificate;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.gateway.engine.writer.GatewayIndication;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.opcua.server.OpcUaServerLink;
import oilbird.gateway.opcua.trust.OwnCertificate;
import org.jboss.logging.Logger;

/**
 * Brings access and event record together: what happens in access is recorded, each change in the accounts once, and
 * what somebody should look after is an indication of the gateway.
 */
public final class AccessDesk implements AutoCloseable {
    private static final Logger LOG = Logger.getLogger(AccessDesk.class);
    /** How often permissions and certificate are looked at, in turns of a second. */
    private static final int SELDOM = 60;

    private static final int MOST_TOLD = 20;
    private static final Actor GATEWAY = new Actor("gateway", "rule");

    private final Access access;
    private final StationEngine engine;
    private final GatewayClock clock;
    private final Path data;
    private final ScheduledExecutorService turns = Executors.newSingleThreadScheduledExecutor(work -> {
        Thread thread = new Thread(work, "access");
        thread.setDaemon(true);
        return thread;
    });
    private final AtomicLong recorded;
    private final AtomicBoolean recording = new AtomicBoolean();
    private boolean notTakenTold;
    private boolean exposed;
    private int turn;

    private AccessDesk(Path data, AccessRules rules, StationEngine engine, GatewayClock clock) {
        this.engine = engine;
        this.clock = clock;
        this.data = data;
        this.recorded = new AtomicLong(engine.recovered().past().journalled());
        this.access = new Access(new AccountStore(data), rules, System::nanoTime, Instant::now, this::tell);
    }

    static AccessDesk start(Path data, AccessRules rules, StationEngine engine, GatewayClock clock) {
        AccessDesk desk = new AccessDesk(data, rules, engine, clock);
        desk.tighten(true);
        desk.access.noteRoles();
        desk.turns.scheduleWithFixedDelay(desk::turn, 0, 1, TimeUnit.SECONDS);
        return desk;
    }

    public Access access() {
        return access;
    }

    private void tell(Kind kind, String about, Actor by, String address, String text, long times) {
        engine.acts()
                .act(new StationInput.Accessed(kind, 0, 0, about, by, address, text, times, clock.now()))
                .thenAccept(result -> {
                    if (result instanceof ActResult.NotTaken notTaken && !notTakenTold) {
                        notTakenTold = true;
                        LOG.warnf("GW-1205 %s of %s is not in the event record: %s", kind, by, notTaken.why());
                    }
                });
    }

    private void turn() {
        try {
            access.refresh();
            recordNext();
            engine.writer().holds(GatewayIndication.BREAK_GLASS_USED, access.breakGlassUsed());
            if (turn++ % SELDOM == 0) {
                if (exposed) {
                    tighten(false);
                }
                lookAtCertificate();
            }
        } catch (RuntimeException e) {
            LOG.errorf(e, "GW-1206 access met a fault and goes on");
        }
    }

    /** One entry after the other, each only when the one before is durable: so none is passed over or mixed up. */
    private void recordNext() {
        Accounts.Entry next = access.accounts().journal().stream()
                .filter(entry -> entry.number() > recorded.get())
                .findFirst()
                .orElse(null);
        if (next == null || !recording.compareAndSet(false, true)) {
            return;
        }
        engine.acts()
                .act(new StationInput.Accessed(
                        next.kind(),
                        next.number(),
                        next.previous(),
                        next.about(),
                        next.by(),
                        next.address(),
                        next.text(),
                        1,
                        clock.now()))
                .whenComplete((result, fault) -> {
                    recording.set(false);
                    if (result instanceof ActResult.Done) {
                        recorded.set(next.number());
                        recordNext();
                    }
                });
    }

    private void tighten(boolean atStart) {
        List<OwnerOnly.Exposed> found;
        try {
            found = OwnerOnly.tighten(List.of(
                    data.resolve(AccountStore.FOLDER),
                    data.resolve("secrets"),
                    data.resolve("opc-ua").resolve(OwnCertificate.KEY_FILE),
                    data.resolve(OpcUaServerLink.FOLDER).resolve(OwnCertificate.KEY_FILE)));
        } catch (IOException e) {
            LOG.errorf("GW-1207 the permissions of secrets cannot be looked at: %s", e.getMessage());
            return;
        }
        exposed = found.stream().anyMatch(each -> !each.tightened());
        engine.writer().holds(GatewayIndication.SECRETS_EXPOSED, exposed);
        if (atStart) {
            found.stream().limit(MOST_TOLD).forEach(each -> {
                LOG.warnf("GW-1208 others could read a secret: %s", each);
                tell(Kind.SECRETS_EXPOSED, "", GATEWAY, "", each.toString(), 1);
            });
        }
    }

    private void lookAtCertificate() {
        ServerCertificate files = new ServerCertificate(data);
        boolean expiring = false;
        if (files.certificateFile().toFile().exists()) {
            try {
                expiring = ServerCertificate.expiring(files.certificate(), Instant.now());
            } catch (IOException e) {
                LOG.warnf("GW-1209 the certificate cannot be read: %s", e.getMessage());
                expiring = true;
            }
        }
        engine.writer().holds(GatewayIndication.CERTIFICATE_EXPIRING, expiring);
    }

    @Override
    public void close() {
        turns.shutdownNow();
        access.close();
    }
}
