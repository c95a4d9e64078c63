package oilbird.alarm.rule;

import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;

/**
 * What a station consists of, as far as alarm rules can speak of it.
 *
 * @param id id of the station.
 * @param name name for people.
 * @param gateway id of the gateway, the first part of every event id.
 * @param assets in the order of the station file; the gateway itself is an asset.
 * @param devices in the order of the station file; the gateway itself is a device of its asset.
 * @param shared what several devices depend on, in the order of the station file.
 */
public record StationFacts(
        String id, String name, String gateway, List<Asset> assets, List<Device> devices, List<Shared> shared) {
    /**
     * A thing that is looked after: a transformer, or the gateway itself.
     *
     * @param name name for people, at the head of every sentence: {@code Transformer 1}.
     * @param kind {@code transformer}, {@code gateway} or a kind of the owner's.
     */
    public record Asset(String id, String name, String kind) {}

    /**
     * A device that watches an asset.
     *
     * @param name name for people within its asset: {@code gas monitor}.
     * @param unverified names of points and indications of this device that nobody has yet compared with the
     *     local display.
     */
    public record Device(String id, String name, String asset, DeviceKind kind, List<String> unverified) {
        public Device {
            unverified = List.copyOf(unverified);
        }
    }

    public StationFacts {
        assets = List.copyOf(assets);
        devices = List.copyOf(devices);
        shared = List.copyOf(shared);
    }

    /** A station whose devices share nothing. */
    public StationFacts(String id, String name, String gateway, List<Asset> assets, List<Device> devices) {
        this(id, name, gateway, assets, devices, List.of());
    }

    /** The same station as if every point were verified: what is left decides whether other rules fit it. */
    public StationFacts apartFromVerification() {
        return new StationFacts(
                id,
                name,
                gateway,
                assets,
                devices.stream()
                        .map(d -> new Device(d.id(), d.name(), d.asset(), d.kind(), List.of()))
                        .toList(),
                shared);
    }

    public Optional<Asset> asset(String assetId) {
        return assets.stream().filter(a -> a.id().equals(assetId)).findFirst();
    }

    public Optional<Device> device(String deviceId) {
        return devices.stream().filter(d -> d.id().equals(deviceId)).findFirst();
    }

    /** What this device depends on, in the order of the station file. */
    public List<Shared> sharedBy(String deviceId) {
        return shared.stream().filter(s -> s.devices().contains(deviceId)).toList();
    }

    /**
     * The devices on the same connection: those on a serial line or behind a Modbus gateway together.
     *
     * @param id of a device, or of a serial line or Modbus gateway for all behind it.
     * @return empty where nothing of that name has a connection.
     */
    public List<String> sharingConnection(String id) {
        Set<String> found = new LinkedHashSet<>();
        for (Shared thing : shared) {
            boolean oneConnection =
                    thing.kind() == Shared.Kind.SERIAL_LINE || thing.kind() == Shared.Kind.MODBUS_GATEWAY;
            if (oneConnection && (thing.id().equals(id) || thing.devices().contains(id))) {
                found.addAll(thing.devices());
            }
        }
        boolean thing = shared.stream().anyMatch(s -> s.id().equals(id));
        boolean gatewayItself = device(id).filter(d -> d.asset().equals(d.id())).isPresent();
        if (found.isEmpty() && !thing && !gatewayItself && device(id).isPresent()) {
            found.add(id);
        }
        return List.copyOf(found);
    }
}
