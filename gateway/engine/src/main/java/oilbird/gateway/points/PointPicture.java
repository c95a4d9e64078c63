package oilbird.gateway.points;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.function.Function;
import java.util.function.Predicate;
import java.util.stream.Stream;
import oilbird.alarm.rule.PlainNumber;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationView;
import oilbird.alarm.station.StationView.AlarmView;
import oilbird.alarm.station.StationView.DeviceView;
import oilbird.alarm.station.StationView.TrustedReading;
import oilbird.alarm.transformer.derived.DerivedSignals;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.jspecify.annotations.Nullable;

/**
 * All points of a list at one moment, made of the station's view alone: the same view gives the same picture.
 *
 * <ul>
 *   <li><b>An alarm</b> is on while it is active, acknowledged or not, shelved or not. Suppressed by design, out of service
 *       or disabled it says the same and is {@link PointValue#blocked()}. What cannot be told now stays as it was last
 *       told.
 *   <li><b>A summary of trouble</b> is on while some alarm of the asset with that trouble is active, shelved ones
 *       included; those that are suppressed by design, out of service or disabled do not count, since what is suppressed has a
 *       cause that is announced itself, and nobody is to be called for what is out of service. It is off for certain
 *       only while every alarm that counts can be told from good data: otherwise it is off and uncertain, or bad where
 *       none can be told.
 *   <li><b>Readings not trusted</b> is on while some reading of a monitor of the asset is not good; what is computed, and
 *       what was never read, does not count.
 *   <li><b>Communication lost</b> is on while a monitor of the asset does not answer, or such an alarm of the asset is
 *       active.
 *   <li><b>A point test</b> of an alarm forces its point both ways; a summary it can turn on, never off, so that no
 *       trouble is hidden by a test.
 *   <li><b>The life sign</b> goes with the gateway's clock, and stands still once the view is {@link #STANDSTILL} old: the
 *       station is then no longer worked on, whatever else of the gateway still answers.
 * </ul>
 *
 * @param at the moment of the view.
 * @param values in the order of the list.
 */
public record PointPicture(Moment at, List<PointValue> values) {
    /** A counter of the life sign begins anew after this many periods. */
    public static final int LIFE_SIGNS = 32_768;

    /** A station without any input still has the gateway's own every ten seconds. */
    public static final Duration STANDSTILL = Duration.ofSeconds(30);

    public PointPicture {
        values = List.copyOf(values);
    }

    /**
     * @param now what the gateway's clock says.
     * @param earlier the picture before, from which a point that says the same takes over since when; null for none.
     */
    public static PointPicture of(
            PointList list, StationView view, StationFacts facts, Moment now, @Nullable PointPicture earlier) {
        Maker maker = new Maker(list, view, facts, now, earlier);
        List<PointValue> values = new ArrayList<>();
        list.points().forEach(point -> values.add(maker.value(point)));
        return new PointPicture(view.at(), values);
    }

    public Optional<PointValue> at(String address) {
        return values.stream().filter(v -> v.point().address().equals(address)).findFirst();
    }

    private Map<String, PointValue> byAddress() {
        Map<String, PointValue> all = new HashMap<>();
        values.forEach(v -> all.put(v.point().address(), v));
        return all;
    }

    /** What a point says before type and polarity: on or off, a number or words. */
    private record Said(
            @Nullable Boolean on,
            @Nullable Double number,
            @Nullable String words,
            boolean told,
            Quality quality,
            boolean blocked,
            boolean test,
            boolean maintenance,
            @Nullable Moment since) {
        static final Said NOTHING = new Said(null, null, null, false, Quality.BAD, false, false, false, null);

        static Said onOff(boolean on, boolean told, Quality quality, @Nullable Moment since) {
            return new Said(on, null, null, told, quality, false, false, false, since);
        }

        Said blocked(boolean is) {
            return new Said(on, number, words, told, quality, is, test, maintenance, since);
        }

        Said test(boolean is) {
            return new Said(on, number, words, told, quality, blocked, is, maintenance, since);
        }

        Said maintained(boolean is, boolean certain) {
            Quality best = is && !certain ? quality.worse(Quality.UNCERTAIN) : quality;
            return new Said(on, number, words, told, best, blocked, test, is, since);
        }
    }

    private static final class Maker {
        private final PointList list;
        private final StationView view;
        private final StationFacts facts;
        private final Moment now;
        private final Map<String, PointValue> earlier;

        Maker(PointList list, StationView view, StationFacts facts, Moment now, @Nullable PointPicture earlier) {
            this.now = now;
            this.list = list;
            this.view = view;
            this.facts = facts;
            this.earlier = earlier == null ? Map.of() : earlier.byAddress();
        }

        PointValue value(ControlPoint point) {
            Said said = said(point);
            PointValue now = new PointValue(
                    point,
                    state(point, said),
                    said.told(),
                    said.quality(),
                    said.blocked(),
                    said.test(),
                    said.maintenance(),
                    said.since() == null ? view.at() : said.since());
            PointValue was = earlier.get(point.address());
            return said.since() == null && was != null && was.saysTheSame(now) ? now.since(was.at()) : now;
        }

        private static @Nullable PointState state(ControlPoint point, Said said) {
            Boolean on = said.on();
            Double number = said.number();
            String words = said.words();
            return switch (point.type()) {
                case SINGLE_POINT -> on == null ? null : new PointState.Single(on != point.inverted());
                case DOUBLE_POINT ->
                    new PointState.Position(
                            on == null || !said.told()
                                    ? PointState.DoublePoint.INDETERMINATE
                                    : on != point.inverted() ? PointState.DoublePoint.ON : PointState.DoublePoint.OFF);
                case MEASURED_VALUE -> number == null ? null : new PointState.Measured(number);
                case TEXT ->
                    words != null
                            ? new PointState.Words(words)
                            : number != null ? new PointState.Words(PlainNumber.of(number)) : null;
            };
        }

        private Said said(ControlPoint point) {
            PointSubject subject = point.subject();
            if (subject instanceof PointSubject.OfAlarm of) {
                AlarmView alarm = view.alarms().get(of.alarm());
                return alarm == null ? Said.NOTHING : alarm(view.outgoing(alarm));
            }
            if (subject instanceof PointSubject.OfShelving of) {
                AlarmView alarm = view.alarms().get(of.alarm());
                return alarm == null ? Said.NOTHING : Said.onOff(isShelved(alarm.state()), true, Quality.GOOD, null);
            }
            if (subject instanceof PointSubject.OfReading of) {
                DeviceView device = view.devices().get(of.reading().owner());
                return device == null
                        ? Said.NOTHING
                        : device.readings().stream()
                                .filter(r -> r.reading().id().equals(of.reading()))
                                .findFirst()
                                .map(this::reading)
                                .orElse(Said.NOTHING);
            }
            if (subject instanceof PointSubject.OfSummary of) {
                return summary(of.asset(), of.summary());
            }
            return lifeSign();
        }

        private Said lifeSign() {
            boolean standsStill = now.monotonicNanos() - view.at().monotonicNanos() > STANDSTILL.toNanos();
            long alive = standsStill ? view.at().monotonicNanos() : now.monotonicNanos();
            long count = Math.floorDiv(alive, list.lifeSign().toNanos());
            return new Said(
                    Math.floorMod(count, 2) == 1,
                    (double) Math.floorMod(count, LIFE_SIGNS),
                    null,
                    true,
                    Quality.GOOD,
                    false,
                    false,
                    false,
                    null);
        }

        private Said alarm(AlarmView alarm) {
            AlarmState state = alarm.state();
            boolean maintained = view.standing().covering(alarm.rule(), facts) != null;
            return Said.onOff(state.active(), told(state), state.quality(), state.active() ? state.activeSince() : null)
                    .blocked(isSetAside(state))
                    .test(alarm.test())
                    .maintained(maintained && !alarm.test(), false);
        }

        private Said reading(TrustedReading trusted) {
            Reading reading = trusted.reading();
            boolean told = reading.number() != null || reading.text() != null;
            return new Said(
                    null,
                    reading.number(),
                    reading.text(),
                    told,
                    told ? reading.quality() : Quality.BAD,
                    false,
                    trusted.test(),
                    facts.device(reading.id().owner())
                            .map(view.standing()::covering)
                            .isPresent(),
                    told ? reading.at() : null);
        }

        private Said summary(String asset, Summary summary) {
            return switch (summary) {
                case TRANSFORMER_TROUBLE, MONITOR_TROUBLE, GATEWAY_TROUBLE ->
                    maintained(asset, trouble(asset, summary));
                case COMMUNICATION_LOST -> maintained(asset, communication(asset));
                case READINGS_NOT_TRUSTED -> maintained(asset, readings(asset));
                case ALARMS_SHELVED ->
                    Said.onOff(alarmsOf(asset).anyMatch(a -> isShelved(a.state())), true, Quality.GOOD, null);
                case IN_MAINTENANCE -> maintained(asset, Said.onOff(isMaintained(asset), true, Quality.GOOD, null));
            };
        }

        private Said maintained(String asset, Said said) {
            boolean certain = Boolean.TRUE.equals(said.on());
            return said.maintained(isMaintained(asset), certain);
        }

        private Said trouble(String asset, Summary summary) {
            List<AlarmView> ofTrouble = alarmsOf(asset)
                    .filter(a -> Summary.ofTrouble(a.rule().rule().record().trouble()) == summary)
                    .toList();
            List<AlarmView> counted =
                    ofTrouble.stream().filter(a -> !isSetAside(a.state())).toList();
            List<AlarmView> active =
                    counted.stream().filter(a -> a.state().active()).toList();
            if (!active.isEmpty()) {
                Quality best = active.stream()
                        .map(a -> a.state().quality())
                        .min(Comparator.naturalOrder())
                        .orElse(Quality.BAD);
                return Said.onOff(true, true, best, since(active));
            }
            if (ofTrouble.stream()
                    .map(view::outgoing)
                    .anyMatch(a -> a.test() && a.state().active())) {
                return Said.onOff(true, true, Quality.GOOD, null).test(true);
            }
            if (ofTrouble.isEmpty()) {
                return Said.onOff(false, true, Quality.GOOD, null);
            }
            boolean told = ofTrouble.stream().anyMatch(a -> told(a.state()));
            return Said.onOff(
                    false,
                    told,
                    together(counted, a -> told(a.state()) ? a.state().quality() : Quality.BAD),
                    null);
        }

        private Said communication(String asset) {
            List<DeviceView> devices = devicesOf(asset);
            Said alarms = trouble(asset, Summary.COMMUNICATION_LOST);
            if (Boolean.TRUE.equals(alarms.on()) && !alarms.test()) {
                return alarms;
            }
            if (devices.stream().anyMatch(DeviceView::lost)) {
                return Said.onOff(true, true, Quality.GOOD, null);
            }
            if (alarms.test()) {
                return alarms;
            }
            long never = devices.stream().filter(d -> !wasRead(d)).count();
            Quality asked = devices.isEmpty() || never == 0
                    ? Quality.GOOD
                    : never == devices.size() ? Quality.BAD : Quality.UNCERTAIN;
            return Said.onOff(false, devices.isEmpty() || never < devices.size(), asked, null);
        }

        private Said readings(String asset) {
            List<TrustedReading> all = devicesOf(asset).stream()
                    .flatMap(d -> d.readings().stream())
                    .filter(r -> !r.test())
                    .toList();
            List<TrustedReading> known = all.stream().filter(Maker::wasRead).toList();
            boolean doubtful = known.stream().anyMatch(r -> r.reading().quality() != Quality.GOOD);
            Quality quality = all.isEmpty() || known.size() == all.size()
                    ? Quality.GOOD
                    : known.isEmpty() ? Quality.BAD : Quality.UNCERTAIN;
            return Said.onOff(doubtful, all.isEmpty() || !known.isEmpty(), doubtful ? Quality.GOOD : quality, null);
        }

        private static <T> Quality together(List<T> all, Function<T, Quality> quality) {
            if (all.stream().allMatch(t -> quality.apply(t) == Quality.BAD)) {
                return Quality.BAD; // nothing that counts is nothing that can be told
            }
            return all.stream().allMatch(t -> quality.apply(t) == Quality.GOOD) ? Quality.GOOD : Quality.UNCERTAIN;
        }

        private static @Nullable Moment since(List<AlarmView> active) {
            return active.stream()
                    .map(a -> a.state().activeSince())
                    .filter(Objects::nonNull)
                    .min(Comparator.comparingLong(Moment::monotonicNanos))
                    .orElse(null);
        }

        private Stream<AlarmView> alarmsOf(String asset) {
            return view.alarms().values().stream()
                    .filter(a -> a.rule().asset().id().equals(asset));
        }

        /** The monitors of an asset; what is computed of it is no monitor. */
        private List<DeviceView> devicesOf(String asset) {
            Predicate<StationFacts.Device> ofAsset = device -> device.asset().equals(asset)
                    && !device.id().equals(asset)
                    && !device.kind().map().equals(DerivedSignals.MAP);
            List<DeviceView> devices = new ArrayList<>();
            for (StationFacts.Device device : facts.devices()) {
                DeviceView seen = view.devices().get(device.id());
                if (ofAsset.test(device) && seen != null) {
                    devices.add(seen);
                }
            }
            return devices;
        }

        private boolean isMaintained(String asset) {
            Standing standing = view.standing();
            return standing.of(asset) != null
                    || facts.devices().stream().anyMatch(d -> d.asset().equals(asset) && standing.covering(d) != null);
        }

        private static boolean wasRead(DeviceView device) {
            return device.lost()
                    || device.readings().stream().anyMatch(Maker::wasRead)
                    || device.indications().stream().anyMatch(i -> i.reason() != QualityReason.NOT_YET_READ);
        }

        private static boolean wasRead(TrustedReading trusted) {
            QualityReason reason = trusted.reading().reason();
            return reason != QualityReason.NOT_YET_READ && reason != QualityReason.NOT_YET_KNOWN;
        }

        private static boolean told(AlarmState state) {
            return state.active() || state.condition() != null;
        }

        private static boolean isShelved(AlarmState state) {
            return state.shelving().kind() != Shelving.Kind.NONE;
        }

        private static boolean isSetAside(AlarmState state) {
            return !state.enabled() || state.suppressedByDesign() || state.outOfService() != null;
        }
    }
}
