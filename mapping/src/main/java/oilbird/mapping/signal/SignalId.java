package oilbird.mapping.signal;

import java.util.Comparator;

/**
 * Names one reading or one indication within a station.
 *
 * @param owner id of the device or asset that the signal belongs to, as in the station file.
 * @param name name of the point or indication, as in the device map.
 */
public record SignalId(String owner, String name) implements Comparable<SignalId> {
    private static final Comparator<SignalId> ORDER =
            Comparator.comparing(SignalId::owner).thenComparing(SignalId::name);

    @Override
    public int compareTo(SignalId other) {
        return ORDER.compare(this, other);
    }

    /** The written form {@code owner/name}, as used in rule files and on links. */
    @Override
    public String toString() {
        return owner + "/" + name;
    }
}
