package oilbird.alarm.station;

/** The next deadline of maintenance and point tests. */
final class StandingTimer implements Timed {
    final int timer;

    StandingTimer(int timer) {
        this.timer = timer;
    }
}
