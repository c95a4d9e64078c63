package oilbird.gateway.picture;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/** Times in pictures, in UTC. */
final class Times {
    private static final DateTimeFormatter MINUTE =
            DateTimeFormatter.ofPattern("yyyy-MM-dd HH:mm 'UTC'", Locale.ROOT).withZone(ZoneOffset.UTC);
    private static final DateTimeFormatter DAY =
            DateTimeFormatter.ofPattern("yyyy-MM-dd", Locale.ROOT).withZone(ZoneOffset.UTC);
    private static final DateTimeFormatter CLOCK =
            DateTimeFormatter.ofPattern("MM-dd HH:mm", Locale.ROOT).withZone(ZoneOffset.UTC);

    private Times() {}

    static String minute(Instant at) {
        return MINUTE.format(at);
    }

    /** A mark on the axis of time. */
    record Mark(double share, String words) {}

    /** Some marks between two times, evenly spaced. */
    static List<Mark> marks(Instant from, Instant to, int count) {
        Duration span = Duration.between(from, to);
        DateTimeFormatter format = span.compareTo(Duration.ofDays(8)) > 0 ? DAY : CLOCK;
        List<Mark> marks = new ArrayList<>();
        for (int i = 0; i < count; i++) {
            double share = (double) i / (count - 1);
            marks.add(new Mark(share, format.format(from.plusMillis((long) (share * span.toMillis())))));
        }
        return marks;
    }
}
