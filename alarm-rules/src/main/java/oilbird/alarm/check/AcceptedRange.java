package oilbird.alarm.check;

import java.util.List;
import oilbird.alarm.diagnosis.DeviceChecks;
import oilbird.alarm.rule.PlainNumber;
import oilbird.mapping.signal.Measurement;
import oilbird.mapping.signal.Supply;
import oilbird.mapping.signal.Verdict;
import org.jspecify.annotations.Nullable;

/** The range in which a measured value is accepted, on one device of one station. */
public sealed interface AcceptedRange {
    /**
     * A range, both ends included.
     *
     * @param from lower limit in {@code unit}; null where only the upper one counts.
     * @param to upper limit in {@code unit}; null likewise.
     * @param basis what it was counted from, in words: {@code rated supply of the device, d.c.}; empty where it is as
     *     written.
     */
    record Limits(@Nullable Double from, @Nullable Double to, String unit, String basis) implements AcceptedRange {
        /** How a value in the unit lies to it. */
        public Verdict verdict(double value) {
            if (from != null && value < from) {
                return from > 0 && Math.abs(value) < from / 10 ? Verdict.NONE : Verdict.BELOW;
            }
            return to != null && value > to ? Verdict.ABOVE : Verdict.WITHIN;
        }

        /** {@code 23 to 25 V}. */
        public String text() {
            String range = from == null
                    ? "at most " + number(to)
                    : to == null ? "at least " + number(from) : number(from) + " to " + number(to);
            return range + " " + unit + (basis.isEmpty() ? "" : " (" + basis + ")");
        }

        private static String number(@Nullable Double limit) {
            return limit == null ? "any" : PlainNumber.of(limit);
        }
    }

    /**
     * It cannot be told.
     *
     * @param why what is missing.
     * @param remedy what to do about it.
     */
    record Unknown(String why, String remedy) implements AcceptedRange {}

    /**
     * The range of a measurement.
     *
     * @param current kind of current where the person said it; null otherwise.
     */
    static AcceptedRange of(Measurement measurement, DeviceChecks device, Supply.@Nullable Current current) {
        return switch (measurement.base()) {
            case WRITTEN -> new Limits(measurement.from(), measurement.to(), measurement.unit(), "");
            case RATED_SUPPLY -> rated(measurement, device, current);
            case NOMINAL_SUPPLY -> nominal(measurement, device.nominal());
        };
    }

    /** What is written beside the terminals decides, not what the station's supply is called. */
    private static AcceptedRange rated(Measurement measurement, DeviceChecks device, Supply.@Nullable Current current) {
        Supply nominal = device.nominal();
        Supply.Current kind = current != null ? current : nominal == null ? null : nominal.current();
        List<Supply> fitting = device.rated().stream()
                .filter(r -> kind == null || r.current() == kind)
                .toList();
        if (device.rated().isEmpty()) {
            return new Unknown(
                    "the device's rated supply is not stated", "read it on its plate, and add it to supply:");
        }
        if (fitting.size() != 1) {
            return fitting.isEmpty()
                    ? new Unknown(
                            "the device is not rated for " + words(kind), "look at its plate and at what feeds it")
                    : new Unknown(
                            "the device is rated for alternating and direct current",
                            "write V AC or V DC behind the value");
        }
        Supply rated = fitting.get(0);
        return new Limits(
                rated.from(), rated.to(), measurement.unit(), "rated supply of the device, " + words(rated.current()));
    }

    private static AcceptedRange nominal(Measurement measurement, @Nullable Supply nominal) {
        if (nominal == null) {
            return new Unknown(
                    "the station's nominal supply is not stated", "add nominal: to the supply under shared:");
        }
        double volts = nominal.from();
        return new Limits(
                share(measurement.from(), volts),
                share(measurement.to(), volts),
                measurement.unit(),
                "nominal " + PlainNumber.of(volts) + " V " + words(nominal.current()));
    }

    private static @Nullable Double share(@Nullable Double percent, double of) {
        return percent == null ? null : (Double) (percent * of / 100);
    }

    private static String words(Supply.@Nullable Current current) {
        return current == null ? "this current" : current == Supply.Current.AC ? "a.c." : "d.c.";
    }
}
