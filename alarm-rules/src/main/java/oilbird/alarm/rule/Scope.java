package oilbird.alarm.rule;

import java.util.List;

/** What a rule applies to: one alarm for each. */
public sealed interface Scope {
    /** Every device of a device map. */
    record DevicesOfMap(String map) implements Scope {}

    /** The devices named. */
    record NamedDevices(List<String> devices) implements Scope {
        public NamedDevices {
            devices = List.copyOf(devices);
        }
    }

    /** Every asset of a kind. */
    record AssetsOfKind(String kind) implements Scope {}

    /** One asset. */
    record NamedAsset(String asset) implements Scope {}
}
