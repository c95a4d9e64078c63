package oilbird.gateway.modbus;

import java.util.EnumMap;
import java.util.List;
import java.util.Map;

/** Counts what happens on one serial line; written by its line's thread, read by any. */
final class LineLedger {
    private final String line;
    private final String name;
    private final String way;
    private final List<String> devices;
    private final long began = System.nanoTime();
    private final Map<Fault, Long> faults = new EnumMap<>(Fault.class);
    private boolean open;
    private long opened;
    private long requests;
    private long answers;
    private long noiseBytes;
    private long foreignFrames;
    private long lateAnswers;
    private long busyNanos;

    LineLedger(String line, String name, String way, List<String> devices) {
        this.line = line;
        this.name = name;
        this.way = way;
        this.devices = List.copyOf(devices);
    }

    synchronized void opened() {
        open = true;
        opened++;
    }

    synchronized void closed() {
        open = false;
    }

    synchronized void sent() {
        requests++;
    }

    synchronized void answered() {
        answers++;
    }

    synchronized void failed(Fault fault) {
        faults.merge(fault, 1L, Long::sum);
    }

    synchronized void noise(int bytes) {
        noiseBytes += bytes;
    }

    synchronized void foreign() {
        foreignFrames++;
    }

    synchronized void late() {
        lateAnswers++;
    }

    synchronized void busy(long nanos) {
        busyNanos += nanos;
    }

    synchronized LineStatus status() {
        return new LineStatus(
                line,
                name,
                way,
                devices,
                open,
                new LineStatus.Counts(
                        requests,
                        answers,
                        faults,
                        noiseBytes,
                        foreignFrames,
                        lateAnswers,
                        Math.max(0, opened - 1),
                        (double) busyNanos / Math.max(1, System.nanoTime() - began)));
    }
}
