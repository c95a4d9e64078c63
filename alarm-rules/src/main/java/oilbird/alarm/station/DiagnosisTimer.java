package oilbird.alarm.station;

/** When diagnosis has to look again although nothing has changed. */
final class DiagnosisTimer implements Timed {
    final int timer;

    DiagnosisTimer(int timer) {
        this.timer = timer;
    }
}
