package oilbird.gateway.station;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.DeviceKind.Doubting;
import oilbird.mapping.address.Request;
import oilbird.mapping.map.BitUse;
import oilbird.mapping.map.DeviceClock;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MappedIndication;
import oilbird.mapping.map.Point;
import oilbird.mapping.map.TrustEffect;
import oilbird.mapping.map.UpdatePeriod;

/** Tells the alarm rules what they may speak of in a device map. */
final class DeviceKinds {
    private DeviceKinds() {}

    /**
     * @param periods polling period by poll class, for the devices that share the result.
     */
    static DeviceKind of(DeviceMap map, Map<String, Duration> periods) {
        return new DeviceKind(
                map.name(),
                map.text(),
                Stream.of(
                                map.points().stream().map(DeviceKinds::point),
                                map.words().stream()
                                        .flatMap(w -> w.fields().stream())
                                        .map(DeviceKinds::field),
                                Stream.ofNullable(map.clock()).map(DeviceKinds::clock))
                        .flatMap(kind -> kind)
                        .toList(),
                map.indications().stream().map(DeviceKinds::indication).toList(),
                map.requests().stream().map(block -> block(map, block, periods)).toList(),
                map.features());
    }

    private static DeviceKind.Point point(Point point) {
        UpdatePeriod update = point.update();
        return new DeviceKind.Point(
                point.name(),
                point.text(),
                point.unit(),
                point.group() == null ? "" : point.group(),
                point.plausible() == null
                        ? null
                        : new DeviceKind.Range(
                                point.plausible().low(), point.plausible().high()),
                update == null ? Duration.ZERO : update.every(),
                staleAfter(point),
                point.frozenAfter() != null ? point.name() : update == null ? null : update.counter());
    }

    /** A value that must change is as old as its last change, like one that a counter speaks for. */
    private static Duration staleAfter(Point point) {
        Duration frozenAfter = point.frozenAfter();
        if (frozenAfter != null) {
            return frozenAfter;
        }
        return point.update() == null ? Duration.ZERO : point.update().staleAfter();
    }

    /** The difference between the device's clock and the gateway's. */
    private static DeviceKind.Point clock(DeviceClock clock) {
        return new DeviceKind.Point(
                clock.reading(), "clock difference", "s", "", null, Duration.ZERO, Duration.ZERO, null);
    }

    /** A bit field is a reading too: its value's text. */
    private static DeviceKind.Point field(BitUse.Field field) {
        return DeviceKind.Point.field(
                field.name(),
                field.text(),
                field.values().stream().map(BitUse.FieldValue::text).distinct().toList());
    }

    private static DeviceKind.NamedIndication indication(MappedIndication indication) {
        TrustEffect makes = indication.makes();
        List<Doubting> doubts = new ArrayList<>();
        makes.worthless().forEach(p -> doubts.add(new Doubting(p, true, makes.afterPeriods())));
        makes.doubtful().stream()
                .filter(p -> !makes.worthless().contains(p))
                .forEach(p -> doubts.add(new Doubting(p, false, makes.afterPeriods())));
        return new DeviceKind.NamedIndication(
                indication.name(),
                indication.text(),
                doubts,
                indication.engineerOnly(),
                indication.service(),
                indication.keepAway(),
                indication.firstChecks());
    }

    private static DeviceKind.Block block(DeviceMap map, Request block, Map<String, Duration> periods) {
        List<String> signals = new ArrayList<>(map.readingsOf(block));
        signals.addAll(map.indicationsOf(block));
        return new DeviceKind.Block(block.name(), periods.getOrDefault(block.pollClass(), Duration.ZERO), signals);
    }
}
