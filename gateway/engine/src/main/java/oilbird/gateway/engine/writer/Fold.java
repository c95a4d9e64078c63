package oilbird.gateway.engine.writer;

import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationStep;
import oilbird.alarm.station.StationView;

/** What the writer needs of the station's fold; only its thread calls it. */
interface Fold {
    StationStep opening();

    StationStep apply(StationInput input);

    StationView view();

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
        };
    }
}
