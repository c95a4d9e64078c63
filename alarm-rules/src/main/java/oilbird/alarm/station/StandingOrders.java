package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Predicate;
import java.util.function.UnaryOperator;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.Rebase;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** Maintenance, point tests and released connections while the fold works on them: the one place where they change. */
final class StandingOrders {
    private static final long NANOS_PER_MILLI = 1_000_000L;

    private Standing standing;
    private boolean changed;

    /**
     * @param savedAt in the time of the process that stored it; null if unknown, then every deadline is due now.
     */
    StandingOrders(Standing stored, @Nullable Moment savedAt, Moment now) {
        if (stored.isEmpty()) {
            standing = stored;
            return;
        }
        Rebase rebase = savedAt == null ? null : Rebase.between(savedAt, now);
        standing = new Standing(
                stored.maintenance().stream()
                        .map(m -> new Standing.Maintenance(
                                m.of(),
                                m.by(),
                                m.reason(),
                                m.permit(),
                                moved(rebase, m.since(), now),
                                moved(rebase, m.until(), now),
                                m.untilWallMillis(),
                                m.reminded(),
                                m.taken(),
                                m.before(),
                                m.found()))
                        .toList(),
                stored.alarmTests().stream()
                        .map(t -> new Standing.AlarmTest(
                                t.alarm(), t.forced(), t.by(), moved(rebase, t.until(), now), t.untilWallMillis()))
                        .toList(),
                stored.readingTests().stream()
                        .map(t -> new Standing.ReadingTest(
                                t.reading(), t.forced(), t.by(), moved(rebase, t.until(), now), t.untilWallMillis()))
                        .toList(),
                stored.keepAways().stream()
                        .map(k -> new Standing.KeepAway(
                                k.asset(), moved(rebase, k.since(), now), k.reasons(), k.releasedBy()))
                        .toList(),
                stored.diagnoses().stream()
                        .map(d -> new Standing.OpenDiagnosis(
                                d.id(),
                                d.subject(),
                                moved(rebase, d.since(), now),
                                d.signs().stream()
                                        .map(h -> new Standing.HeldSign(h.sign(), moved(rebase, h.since(), now)))
                                        .toList()))
                        .toList(),
                stored.releases().stream()
                        .map(r -> new Standing.Release(
                                r.of(),
                                r.devices(),
                                r.by(),
                                r.reason(),
                                moved(rebase, r.since(), now),
                                moved(rebase, r.until(), now),
                                r.untilWallMillis()))
                        .toList());
        changed = true;
    }

    private static long moved(@Nullable Rebase rebase, long deadline, Moment now) {
        return rebase == null ? now.monotonicNanos() : rebase.deadline(deadline);
    }

    private static Moment moved(@Nullable Rebase rebase, Moment past, Moment now) {
        return new Moment(
                rebase == null ? now.monotonicNanos() : rebase.instant(past.monotonicNanos()),
                past.wallMillis(),
                past.wallTrusted());
    }

    Standing standing() {
        return standing;
    }

    /** What is to be stored since the last call, or null. */
    @Nullable
    Standing takeChanged() {
        Standing now = changed ? standing : null;
        changed = false;
        return now;
    }

    long earliest() {
        long earliest = Deadlines.NEVER;
        for (Standing.Maintenance each : standing.maintenance()) {
            earliest = each.reminded() ? earliest : Math.min(earliest, each.until());
        }
        for (Standing.AlarmTest each : standing.alarmTests()) {
            earliest = Math.min(earliest, each.until());
        }
        for (Standing.ReadingTest each : standing.readingTests()) {
            earliest = Math.min(earliest, each.until());
        }
        for (Standing.Release each : standing.releases()) {
            earliest = Math.min(earliest, each.until());
        }
        return earliest;
    }

    private void set(
            List<Standing.Maintenance> maintenance,
            List<Standing.AlarmTest> alarmTests,
            List<Standing.ReadingTest> readingTests) {
        standing = new Standing(
                maintenance, alarmTests, readingTests, standing.keepAways(), standing.diagnoses(), standing.releases());
        changed = true;
    }

    void keepAways(List<Standing.KeepAway> now) {
        standing = new Standing(
                standing.maintenance(),
                standing.alarmTests(),
                standing.readingTests(),
                now,
                standing.diagnoses(),
                standing.releases());
        changed = true;
    }

    void diagnoses(List<Standing.OpenDiagnosis> now) {
        standing = new Standing(
                standing.maintenance(),
                standing.alarmTests(),
                standing.readingTests(),
                standing.keepAways(),
                now,
                standing.releases());
        changed = true;
    }

    private static long wall(Moment at, long nanos) {
        return at.wallMillis() + nanos / NANOS_PER_MILLI;
    }

    // ---- maintenance

    Standing.Maintenance begin(
            StationInput.BeginMaintenance begin, List<Standing.Before> before, List<Standing.Found> found) {
        long nanos = begin.duration().toNanos();
        Standing.Maintenance maintenance = new Standing.Maintenance(
                begin.of(),
                begin.by(),
                begin.reason(),
                begin.permit(),
                begin.at(),
                begin.at().monotonicNanos() + nanos,
                wall(begin.at(), nanos),
                false,
                List.of(),
                before,
                found);
        List<Standing.Maintenance> more = new ArrayList<>(standing.maintenance());
        more.add(maintenance);
        set(more, standing.alarmTests(), standing.readingTests());
        return maintenance;
    }

    void took(String of, AlarmId alarm) {
        replace(of, m -> {
            List<AlarmId> taken = new ArrayList<>(m.taken());
            taken.add(alarm);
            return with(m, m.reminded(), taken, m.found());
        });
    }

    /** An alarm that began to stand for a rule while the maintenance went on, with memories of before. */
    void found(String of, Standing.Found alarm) {
        replace(of, m -> {
            List<Standing.Found> found = new ArrayList<>(m.found());
            found.add(alarm);
            return with(m, m.reminded(), m.taken(), found);
        });
    }

    private void replace(String of, UnaryOperator<Standing.Maintenance> by) {
        set(
                standing.maintenance().stream()
                        .map(m -> m.of().equals(of) ? by.apply(m) : m)
                        .toList(),
                standing.alarmTests(),
                standing.readingTests());
    }

    private static Standing.Maintenance with(
            Standing.Maintenance m, boolean reminded, List<AlarmId> taken, List<Standing.Found> found) {
        return new Standing.Maintenance(
                m.of(),
                m.by(),
                m.reason(),
                m.permit(),
                m.since(),
                m.until(),
                m.untilWallMillis(),
                reminded,
                taken,
                m.before(),
                found);
    }

    void end(Standing.Maintenance over) {
        set(
                without(standing.maintenance(), m -> m.of().equals(over.of())),
                standing.alarmTests(),
                standing.readingTests());
    }

    private static <T> List<T> without(List<T> all, Predicate<T> gone) {
        return all.stream().filter(gone.negate()).toList();
    }

    /** Those whose stated time is over and that nobody was reminded of yet. */
    List<Standing.Maintenance> takeReminders(Moment at) {
        List<Standing.Maintenance> due = standing.maintenance().stream()
                .filter(m -> !m.reminded() && m.until() <= at.monotonicNanos())
                .toList();
        due.forEach(d -> replace(d.of(), m -> with(m, true, m.taken(), m.found())));
        return due;
    }

    // ---- point tests

    void test(StationInput.TestAlarm test) {
        long nanos = test.duration().toNanos();
        List<Standing.AlarmTest> tests =
                new ArrayList<>(without(standing.alarmTests(), t -> t.alarm().equals(test.alarm())));
        tests.add(new Standing.AlarmTest(
                test.alarm(), test.active(), test.by(), test.at().monotonicNanos() + nanos, wall(test.at(), nanos)));
        set(standing.maintenance(), tests, standing.readingTests());
    }

    void test(StationInput.TestReading test) {
        long nanos = test.duration().toNanos();
        List<Standing.ReadingTest> tests = new ArrayList<>(
                without(standing.readingTests(), t -> t.reading().equals(test.reading())));
        tests.add(new Standing.ReadingTest(
                test.reading(), test.number(), test.by(), test.at().monotonicNanos() + nanos, wall(test.at(), nanos)));
        set(standing.maintenance(), standing.alarmTests(), tests);
    }

    /** False if the alarm is not under test. */
    boolean endTest(AlarmId alarm) {
        List<Standing.AlarmTest> left =
                without(standing.alarmTests(), t -> t.alarm().equals(alarm));
        boolean was = left.size() < standing.alarmTests().size();
        if (was) {
            set(standing.maintenance(), left, standing.readingTests());
        }
        return was;
    }

    /** False if the reading is not under test. */
    boolean endTest(SignalId reading) {
        List<Standing.ReadingTest> left =
                without(standing.readingTests(), t -> t.reading().equals(reading));
        boolean was = left.size() < standing.readingTests().size();
        if (was) {
            set(standing.maintenance(), standing.alarmTests(), left);
        }
        return was;
    }

    List<Standing.AlarmTest> takeAlarmTestsOver(Moment at) {
        List<Standing.AlarmTest> over = standing.alarmTests().stream()
                .filter(t -> t.until() <= at.monotonicNanos())
                .toList();
        over.forEach(t -> endTest(t.alarm()));
        return over;
    }

    List<Standing.ReadingTest> takeReadingTestsOver(Moment at) {
        List<Standing.ReadingTest> over = standing.readingTests().stream()
                .filter(t -> t.until() <= at.monotonicNanos())
                .toList();
        over.forEach(t -> endTest(t.reading()));
        return over;
    }

    // ---- released connections

    Standing.Release release(StationInput.BeginRelease begin, List<String> devices) {
        long nanos = begin.duration().toNanos();
        Standing.Release release = new Standing.Release(
                begin.of(),
                devices,
                begin.by(),
                begin.reason(),
                begin.at(),
                begin.at().monotonicNanos() + nanos,
                wall(begin.at(), nanos));
        List<Standing.Release> more = new ArrayList<>(standing.releases());
        more.add(release);
        setReleases(more);
        return release;
    }

    void end(Standing.Release over) {
        setReleases(without(standing.releases(), r -> r.of().equals(over.of())));
    }

    /** Those whose time is over; they are ended. */
    List<Standing.Release> takeReleasesOver(Moment at) {
        List<Standing.Release> over = standing.releases().stream()
                .filter(r -> r.until() <= at.monotonicNanos())
                .toList();
        over.forEach(this::end);
        return over;
    }

    private void setReleases(List<Standing.Release> releases) {
        standing = new Standing(
                standing.maintenance(),
                standing.alarmTests(),
                standing.readingTests(),
                standing.keepAways(),
                standing.diagnoses(),
                releases);
        changed = true;
    }
}
