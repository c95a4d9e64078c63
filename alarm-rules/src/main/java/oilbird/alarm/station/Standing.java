package oilbird.alarm.station;

import java.util.List;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.Priority;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * What persons have set on the station and not yet ended, and what a new process must know to go on: maintenance,
 * point tests and released connections, keep-away, open diagnoses. Stored whole whenever it changes, and moved to the
 * next process's time when it is restored.
 */
public record Standing(
        List<Maintenance> maintenance,
        List<AlarmTest> alarmTests,
        List<ReadingTest> readingTests,
        List<KeepAway> keepAways,
        List<OpenDiagnosis> diagnoses,
        List<Release> releases) {
    public static final Standing NONE = new Standing(List.of(), List.of(), List.of());

    public Standing(List<Maintenance> maintenance, List<AlarmTest> alarmTests, List<ReadingTest> readingTests) {
        this(maintenance, alarmTests, readingTests, List.of(), List.of(), List.of());
    }

    public Standing {
        keepAways = List.copyOf(keepAways);
        diagnoses = List.copyOf(diagnoses);
        maintenance = List.copyOf(maintenance);
        alarmTests = List.copyOf(alarmTests);
        readingTests = List.copyOf(readingTests);
        releases = List.copyOf(releases);
    }

    /**
     * A device, or all devices and alarms of an asset, in maintenance.
     *
     * @param of id of the device or asset.
     * @param permit the owner's permit or work order number.
     * @param since when it began.
     * @param until monotonic nanoseconds of the expiry reminder; it never ends the maintenance by itself.
     * @param untilWallMillis the same for people.
     * @param reminded true once the reminder was given.
     * @param taken alarms that this maintenance took out of service, and that its end places in service again.
     * @param before usable readings at the beginning, for the comparison at the end.
     * @param found alarms that were not normal at the beginning; what the maintenance makes of the others is void when
     *     it ends.
     */
    public record Maintenance(
            String of,
            Actor by,
            String reason,
            String permit,
            Moment since,
            long until,
            long untilWallMillis,
            boolean reminded,
            List<AlarmId> taken,
            List<Before> before,
            List<Found> found) {
        public Maintenance {
            taken = List.copyOf(taken);
            before = List.copyOf(before);
            found = List.copyOf(found);
        }

        /** The memories that an alarm had when it began. */
        AlarmInput.Before memories(AlarmId alarm, Priority usual) {
            for (Found each : found) {
                if (each.alarm().equals(alarm)) {
                    return each.memories();
                }
            }
            return new AlarmInput.Before(false, true, false, usual);
        }
    }

    /** An alarm as it was before the maintenance. */
    public record Found(AlarmId alarm, AlarmInput.Before memories) {}

    /** A reading as it was before the maintenance. */
    public record Before(SignalId reading, double number) {}

    /**
     * An alarm whose outgoing point is forced. Its state is not touched and goes on being evaluated.
     *
     * @param forced true for active, false for normal.
     * @param until monotonic nanoseconds at which the test ends by itself.
     */
    public record AlarmTest(AlarmId alarm, boolean forced, Actor by, long until, long untilWallMillis) {}

    /**
     * A reading whose outgoing value is forced. Rules go on with the true one.
     *
     * @param until monotonic nanoseconds at which the test ends by itself.
     */
    public record ReadingTest(SignalId reading, double forced, Actor by, long until, long untilWallMillis) {}

    /**
     * A connection left to somebody else, such as a service laptop: its devices are not polled.
     *
     * @param of id of the device, line or Modbus gateway that was asked for.
     * @param devices every device that is on the same connection.
     * @param reason what it is released for.
     * @param until monotonic nanoseconds at which it ends by itself.
     */
    public record Release(
            String of, List<String> devices, Actor by, String reason, Moment since, long until, long untilWallMillis) {
        public Release {
            devices = List.copyOf(devices);
        }
    }

    /** True while the device is not polled, since somebody else has its connection. */
    public boolean isReleased(String device) {
        return releases.stream().anyMatch(r -> r.devices().contains(device));
    }

    /**
     * An asset that people are to keep away from; or one that the control room has released while reasons remain, so
     * that these do not raise it again.
     *
     * @param reasons in the order in which they came.
     * @param releasedBy null while people are to keep away.
     */
    public record KeepAway(
            String asset,
            Moment since,
            List<String> reasons,
            @Nullable Actor releasedBy) {
        public KeepAway {
            reasons = List.copyOf(reasons);
        }
    }

    /**
     * A diagnosis that is open.
     *
     * @param id of the event that opened it.
     */
    public record OpenDiagnosis(String id, String subject, Moment since, List<HeldSign> signs) {
        public OpenDiagnosis {
            signs = List.copyOf(signs);
        }
    }

    /** A sign that holds, and since when. */
    public record HeldSign(Sign sign, Moment since) {}

    /** Those that people are to keep away from now. */
    public List<KeepAway> keptAway() {
        return keepAways.stream().filter(k -> k.releasedBy() == null).toList();
    }

    /** Why people are to keep away from an asset now, or null. */
    public @Nullable KeepAway keptAwayFrom(String asset) {
        return keepAways.stream()
                .filter(k -> k.releasedBy() == null && k.asset().equals(asset))
                .findFirst()
                .orElse(null);
    }

    /** The maintenance of a device or asset, or null. */
    public @Nullable Maintenance of(String id) {
        return maintenance.stream().filter(m -> m.of().equals(id)).findFirst().orElse(null);
    }

    /** The maintenance that covers a device: its own or its asset's; null for none. */
    public @Nullable Maintenance covering(StationFacts.Device device) {
        return maintenance.stream()
                .filter(m -> covers(m.of(), device))
                .findFirst()
                .orElse(null);
    }

    /** The maintenance of something that an alarm is about: its asset, its device, or a device it is judged from. */
    public @Nullable Maintenance covering(RuleInstance rule, StationFacts facts) {
        return maintenance.stream()
                .filter(m -> covers(m.of(), rule, facts))
                .findFirst()
                .orElse(null);
    }

    /**
     * @param of id of a device or asset.
     */
    public static boolean covers(String of, RuleInstance rule, StationFacts facts) {
        StationFacts.Device own = rule.device();
        return rule.asset().id().equals(of)
                || (own != null && covers(of, own))
                || rule.inputs().stream()
                        .anyMatch(input -> facts.device(input.owner())
                                .filter(device -> covers(of, device))
                                .isPresent());
    }

    private static boolean covers(String of, StationFacts.Device device) {
        return device.id().equals(of) || device.asset().equals(of);
    }

    /** The point test of an alarm, or null. */
    public @Nullable AlarmTest testOf(AlarmId alarm) {
        return alarmTests.stream()
                .filter(t -> t.alarm().equals(alarm))
                .findFirst()
                .orElse(null);
    }

    /** The point test of a reading, or null. */
    public @Nullable ReadingTest testOf(SignalId reading) {
        return readingTests.stream()
                .filter(t -> t.reading().equals(reading))
                .findFirst()
                .orElse(null);
    }

    public boolean isEmpty() {
        return maintenance.isEmpty()
                && alarmTests.isEmpty()
                && readingTests.isEmpty()
                && keepAways.isEmpty()
                && diagnoses.isEmpty()
                && releases.isEmpty();
    }
}
