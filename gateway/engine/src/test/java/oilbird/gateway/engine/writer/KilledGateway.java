package oilbird.gateway.engine.writer;

import java.io.FileDescriptor;
import java.io.FileOutputStream;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.concurrent.locks.LockSupport;
import oilbird.gateway.engine.StationFixture;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.record.RecordedEvent;

/** A program that raises and clears alarms as fast as it can and says each announced event, until it is killed. */
final class KilledGateway {
    private KilledGateway() {}

    public static void main(String[] args) throws Exception {
        GatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());
        StationEngine engine = StationEngine.open(
                StationFixture.model(4), StationFixture.GATEWAY, Path.of(args[0]), clock, WriterSettings.DEFAULT);
        try (FileOutputStream out = new FileOutputStream(FileDescriptor.out)) {
            engine.writer().onCommitted(events -> {
                StringBuilder lines = new StringBuilder();
                for (RecordedEvent event : events) {
                    lines.append(event.event().id()).append('\n');
                }
                try {
                    out.write(lines.toString().getBytes(StandardCharsets.US_ASCII));
                } catch (IOException e) {
                    throw new UncheckedIOException(e);
                }
            });
            engine.start();
            for (long i = 0; ; i++) {
                engine.inputs().offer(StationFixture.fans(4, i, clock.now()));
                if (i % 16 == 0) {
                    // Small batches, so that the kill meets every step of a commit.
                    LockSupport.parkNanos(200_000);
                }
            }
        }
    }
}
