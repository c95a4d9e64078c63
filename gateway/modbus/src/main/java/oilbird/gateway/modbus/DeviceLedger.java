package oilbird.gateway.modbus;

import java.util.EnumMap;
import java.util.Map;
import java.util.TreeMap;
import oilbird.gateway.modbus.DeviceStatus.Condition;
import org.jspecify.annotations.Nullable;

/** Keeps one device's counters and condition; written by its line's thread, read by any. */
final class DeviceLedger {
    private final String device;
    private final Map<Integer, Long> exceptions = new TreeMap<>();
    private final Map<Fault, Long> faults = new EnumMap<>(Fault.class);
    private Condition condition = Condition.NOT_YET_ASKED;
    private @Nullable String detail;
    private @Nullable FoundIdentification identification;
    private long requests;
    private long answers;
    private long connects;
    private long missed;
    private long heldBack;
    private long lastRoundTrip;

    DeviceLedger(String device) {
        this.device = device;
    }

    synchronized void sent() {
        requests++;
    }

    synchronized void answered(long roundTripNanos) {
        answers++;
        lastRoundTrip = roundTripNanos;
    }

    synchronized void refused(int code) {
        exceptions.merge(code, 1L, Long::sum);
    }

    synchronized void failed(Fault fault) {
        faults.merge(fault, 1L, Long::sum);
    }

    synchronized void connected() {
        connects++;
    }

    synchronized void missed(long periods) {
        missed += periods;
    }

    synchronized void heldBack(long periods) {
        heldBack += periods;
    }

    synchronized void identified(FoundIdentification found) {
        identification = found;
    }

    synchronized void condition(Condition now, @Nullable String why) {
        condition = now;
        detail = why;
    }

    synchronized Condition condition() {
        return condition;
    }

    synchronized DeviceStatus status() {
        DeviceStatus.Counts counts = new DeviceStatus.Counts(
                requests, answers, exceptions, faults, Math.max(0, connects - 1), missed, heldBack, lastRoundTrip);
        return new DeviceStatus(device, condition, detail, identification, counts);
    }
}
