package oilbird.alarm.station;

import java.util.List;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * What persons have set on the station and not yet ended: maintenance and point tests. Stored whole whenever it
 * changes, and moved to the next process's time when it is restored.
 */
public record Standing(List<Maintenance> maintenance, List<AlarmTest> alarmTests, List<ReadingTest> readingTests) {
    public static final Standing NONE = new Standing(List.of(), List.of(), List.of());

    public Standing {
        maintenance = List.copyOf(maintenance);
        alarmTests = List.copyOf(alarmTests);
        readingTests = List.copyOf(readingTests);
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
            List<Before> before) {
        public Maintenance {
            taken = List.copyOf(taken);
            before = List.copyOf(before);
        }
    }

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

    /** The maintenance of a device or asset, or null. */
    public @Nullable Maintenance of(String id) {
        return maintenance.stream().filter(m -> m.of().equals(id)).findFirst().orElse(null);
    }

    public boolean isEmpty() {
        return maintenance.isEmpty() && alarmTests.isEmpty() && readingTests.isEmpty();
    }
}
