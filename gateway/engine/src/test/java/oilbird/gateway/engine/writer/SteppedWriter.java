package oilbird.gateway.engine.writer;

import java.time.Duration;
import java.util.List;
import java.util.Set;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationStep;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.outbox.Outbox;
import oilbird.gateway.engine.record.CommitPort;

/** The station's writer without its thread: a simulation makes it turn, and sees each input folded. */
public final class SteppedWriter {
    private final StationWriter writer;

    /** The fold as the writer sees it. */
    public interface Brain {
        StationStep opening();

        StationStep apply(StationInput input);

        StationView view();

        List<Remembered> remembered();
    }

    public SteppedWriter(
            Brain brain,
            CommitPort disk,
            Outbox outbox,
            long nextPosition,
            Set<GatewayIndication> lasting,
            GatewayClock clock,
            WriterSettings settings) {
        Fold fold = new Fold() {
            @Override
            public StationStep opening() {
                return brain.opening();
            }

            @Override
            public StationStep apply(StationInput input) {
                return brain.apply(input);
            }

            @Override
            public StationView view() {
                return brain.view();
            }

            @Override
            public List<Remembered> remembered() {
                return brain.remembered();
            }
        };
        writer = new StationWriter(fold, disk, outbox, nextPosition, lasting, clock, settings, Runnable::run);
    }

    public StationWriter writer() {
        return writer;
    }

    /** Folds, commits and tells what waits; waits for nothing. */
    public void turn() {
        try {
            writer.turn(Duration.ZERO);
        } catch (InterruptedException e) {
            throw new IllegalStateException("a turn that waits for nothing cannot be interrupted", e);
        }
    }
}
