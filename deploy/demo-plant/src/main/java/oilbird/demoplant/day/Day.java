package oilbird.demoplant.day;

import java.time.Duration;
import java.util.List;

/** The day that the demo plays: eighteen hours of Windlow, from six in the morning to midnight. All invented. */
public final class Day {
    /** How long the day lasts. */
    public static final Duration LENGTH = Duration.ofHours(18);

    private Day() {}

    /** The scenes, earliest first. */
    public static List<Scene> scenes() {
        return List.of(
                Scene.of(at(6, 0), "load and temperatures begin their daily rise, all is healthy"),
                Scene.of(
                                at(7, 10),
                                "a technician is announced at the gas monitor of transformer 1; the operator puts it"
                                        + " in maintenance")
                        .asking(new Scene.Request(
                                "/api/v1/standing/maintenance/gas-t1/begin",
                                "{\"by\":\"operator of the demo\",\"reason\":\"calibration of the gas monitor\","
                                        + "\"permit\":\"WP-0417\",\"duration\":\"PT130M\"}",
                                "the operator")),
                Scene.of(
                                at(7, 30),
                                "the technician calibrates it with calibration gas: 500 ppm of hydrogen that are not"
                                        + " in the transformer")
                        .playing("service-visit", "gas-t1", at(8, 10))
                        .notExpecting("t1/gas-t1.hydrogen-high", at(6, 0), at(23, 50))
                        .notExpecting("t1/computed-t1.gas-status", at(6, 0), at(23, 50))
                        .notExpecting("t1/computed-t1.gas-rise-fast", at(6, 0), at(23, 50))
                        .notExpecting("t1/computed-t1.gas-rising", at(6, 0), at(23, 50))
                        .notExpecting("t1/computed-t1.gas-step", at(6, 0), at(23, 50))
                        .notExpecting("t1/computed-t1.discharge-suspected", at(6, 0), at(23, 50))
                        .notExpecting("t1/computed-t1.partial-discharge-suspected", at(6, 0), at(23, 50))
                        .notExpecting("keep-away t1", at(6, 0), at(23, 50)),
                Scene.of(at(8, 10), "the technician leaves; the monitor still shows the calibration gas"),
                Scene.of(
                                at(8, 20),
                                "the operator ends the maintenance; what the monitor shows does not count before its"
                                        + " next analysis, which is of oil again")
                        .asking(new Scene.Request(
                                "/api/v1/standing/maintenance/gas-t1/end",
                                "{\"by\":\"operator of the demo\"}",
                                "the operator")),
                Scene.of(at(9, 40), "the circulation pump of the same monitor stops: no oil comes to be analysed")
                        .playing("sample-pump-stopped", "gas-t1", at(10, 40))
                        .expecting("t1/gas-t1.oil-flow-low", at(9, 40), at(10, 30)),
                Scene.of(at(10, 40), "the pump runs again"),
                Scene.of(at(11, 20), "the auxiliary supply of bay T1 is lost: three monitors fall silent at once")
                        .playing("auxiliary-supply-lost", "aux-t1", at(12, 10))
                        .expecting("t1/gas-t1.no-answer", at(11, 20), at(12, 5))
                        .expecting("t1/cooling-t1.no-answer", at(11, 20), at(12, 5))
                        .expecting("t1/moisture-t1.no-answer", at(11, 20), at(12, 5)),
                Scene.of(at(12, 10), "the auxiliary supply of bay T1 is back; its monitors start and test themselves"),
                Scene.of(
                                at(13, 0),
                                "the cooling control of transformer 2 gets new firmware, which moves its registers by"
                                        + " one")
                        .playing("firmware-moved-registers", "cooling-t2", at(14, 30)),
                Scene.of(at(14, 30), "the maker's technician puts the old firmware back"),
                Scene.of(at(15, 30), "the tap changer of transformer 3 stops between two taps")
                        .playing("tap-change-incomplete", "t3", at(18, 30))
                        .expecting("t3/tap-t3.tap-change-incomplete", at(15, 30), at(16, 10)),
                Scene.of(at(18, 30), "transformer 3 has been taken out and its tap change finished by hand"),
                Scene.of(at(19, 0), "layers of a bushing of transformer 2 begin to break down")
                        .playing("bushing-layer-breakdown", "t2", at(22, 30))
                        .expecting("t2/bushing-t2.capacitance-high-l2", at(19, 0), at(20, 0)),
                Scene.of(at(22, 30), "the bushing has been changed; all is healthy again"));
    }

    private static Duration at(int hour, int minute) {
        return Duration.ofHours(hour - 6).plusMinutes(minute);
    }
}
