package oilbird.alarm.diagnosis;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.StationFacts.Asset;
import oilbird.alarm.rule.StationFacts.Device;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * A cause on one device, or of one thing that several devices share.
 *
 * @param id {@code gas-t1.cabinet-fan-worn}; for a shared thing {@code aux-t1.lost}.
 * @param says the cause in plain words, placeholders filled.
 * @param assets the assets that it concerns, the first being where it is.
 * @param device null for a shared thing.
 * @param shared null for a device.
 */
public record CauseInstance(
        String id,
        Cause cause,
        String says,
        List<Asset> assets,
        @Nullable Device device,
        @Nullable Shared shared,
        List<Edge> edges,
        List<BoundSupport> supports,
        List<Doubted> makes) {
    /**
     * A sign that it produces.
     *
     * @param sign index in {@link StationCauses#signs()}.
     * @param lasts how long it holds at most with the cause; null for as long as the cause is there.
     */
    public record Edge(
            int sign,
            double probability,
            Duration within,
            @Nullable Duration lasts) {
        /** Whether a sign that has held for so long has outlasted what the cause could have made of it. */
        boolean outlasted(long heldNanos) {
            return lasts != null && heldNanos > lasts.toNanos();
        }
    }

    /**
     * Soft evidence on its device.
     *
     * @param signal the indication or the reading.
     * @param over the reading that is subtracted, or null.
     */
    public record BoundSupport(
            Support support, SignalId signal, @Nullable SignalId over) {}

    /** A reading that it makes doubtful. */
    public record Doubted(SignalId reading, boolean worthless, int periodsAfter) {}

    public CauseInstance {
        assets = List.copyOf(assets);
        edges = List.copyOf(edges);
        supports = List.copyOf(supports);
        makes = List.copyOf(makes);
    }
}
