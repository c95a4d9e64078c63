package oilbird.gateway.engine.writer;

import java.util.List;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationStep;
import oilbird.alarm.station.StationView;

/** What the writer needs of the station's fold; only its thread calls it. */
interface Fold {
    StationStep opening();

    StationStep apply(StationInput input);

    StationView view();

    /** Every piece that a restart needs. */
    List<Remembered> remembered();

    static Fold of(StationFold fold) {
        return new Fold() {
            @Override
            public StationStep opening() {
                return fold.opening();
            }

            @Override
            public StationStep apply(StationInput input) {
                return fold.apply(input);
            }

            @Override
            public StationView view() {
                return fold.view();
            }

            @Override
            public List<Remembered> remembered() {
                return fold.remembered();
            }
        };
    }
}
