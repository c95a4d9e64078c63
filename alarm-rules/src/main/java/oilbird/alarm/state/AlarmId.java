package oilbird.alarm.state;

/**
 * Identity of an alarm, never reused for another meaning.
 *
 * @param asset id of the asset in the station file.
 * @param rule rule key, unique within the asset: {@code device.rule} for a rule on a device, {@code rule}
 *     for a rule on the asset itself.
 */
public record AlarmId(String asset, String rule) implements Comparable<AlarmId> {
    @Override
    public int compareTo(AlarmId other) {
        int byAsset = asset.compareTo(other.asset);
        return byAsset != 0 ? byAsset : rule.compareTo(other.rule);
    }

    /** The written form {@code asset/rule}. */
    @Override
    public String toString() {
        return asset + "/" + rule;
    }
}
