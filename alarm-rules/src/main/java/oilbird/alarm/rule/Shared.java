package oilbird.alarm.rule;

import java.util.List;
import java.util.Locale;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.signal.Supply;
import org.jspecify.annotations.Nullable;

/**
 * Something that several devices of a station depend on, or two readings that watch the same thing: the place of a
 * common cause.
 *
 * @param id unique among devices and shared things.
 * @param name name for people, as it reads in a sentence: {@code auxiliary supply of bay T1}.
 * @param asset of the alarm that speaks for it; the gateway's own where the station file names none.
 * @param devices ids of the devices that depend on it, in the order of the station file; empty for a probe pair.
 * @param points the two readings of a probe pair; empty otherwise.
 * @param nominal nominal voltage of an auxiliary supply; null where nobody said.
 */
public record Shared(
        String id,
        String name,
        Kind kind,
        String asset,
        List<String> devices,
        List<SignalId> points,
        @Nullable Supply nominal) {
    /** What kind of thing is shared. */
    public enum Kind {
        /** Feeds devices with power; whoever loses it falls silent or runs on a battery. */
        AUXILIARY_SUPPLY(false),
        /** Carries the traffic of devices in a network. */
        NETWORK_SWITCH(true),
        /** One pair of wires with several units on it. */
        SERIAL_LINE(true),
        /** Stands between the network and the units of a serial line. */
        MODBUS_GATEWAY(true),
        /** Two readings that should agree. */
        PROBE_PAIR(false);

        private final boolean carriesTraffic;

        Kind(boolean carriesTraffic) {
            this.carriesTraffic = carriesTraffic;
        }

        /** True where nothing can be read of any of its devices while it is lost, and nothing else is wrong with them. */
        public boolean carriesTraffic() {
            return carriesTraffic;
        }

        /** As in a station file: {@code network-switch}. */
        public String written() {
            return name().toLowerCase(Locale.ROOT).replace('_', '-');
        }
    }

    /** Something without a nominal voltage. */
    public Shared(String id, String name, Kind kind, String asset, List<String> devices, List<SignalId> points) {
        this(id, name, kind, asset, devices, points, null);
    }

    public Shared {
        devices = List.copyOf(devices);
        points = List.copyOf(points);
    }
}
