package oilbird.gateway.engine.writer;

import java.util.List;
import oilbird.alarm.station.StationInput;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.StatusWordValue;

/** What was seen, with another date; a human act keeps its own. */
final class Redated {
    private Redated() {}

    static StationInput at(Moment at, StationInput input) {
        if (input instanceof StationInput.Observed observed) {
            Decoded decoded = observed.decoded();
            List<Reading> readings = decoded.readings().stream()
                    .map(r -> new Reading(r.id(), r.number(), r.text(), r.reason(), at, r.origin()))
                    .toList();
            List<Indication> indications = decoded.indications().stream()
                    .map(i -> new Indication(i.id(), i.state(), i.reason(), at))
                    .toList();
            List<StatusWordValue> words = decoded.words().stream()
                    .map(w -> new StatusWordValue(w.id(), w.bits(), w.width(), w.undocumented(), at))
                    .toList();
            return new StationInput.Observed(
                    new Decoded(decoded.device(), decoded.block(), readings, indications, words, at, decoded.raw()));
        }
        if (input instanceof StationInput.RequestFailed failed) {
            return new StationInput.RequestFailed(
                    failed.device(), failed.block(), failed.reason(), failed.detail(), at);
        }
        if (input instanceof StationInput.Noticed noticed) {
            return new StationInput.Noticed(noticed.kind(), noticed.subject(), noticed.text(), at);
        }
        return input;
    }
}
