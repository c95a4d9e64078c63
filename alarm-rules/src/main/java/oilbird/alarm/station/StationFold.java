package oilbird.alarm.station;

import java.util.List;
import oilbird.alarm.state.AlarmState;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * The whole station as one fold over its inputs. Mutable inside; used by one thread.
 *
 * <p>The same model, restored states and inputs give the same events, byte for byte.
 */
public final class StationFold {
    private StationFold() {}

    /**
     * @param restored alarm states as stored by the previous run; empty at the first.
     * @param savedAt the last moment at which the previous run is known to have lived (its newest commit), in
     *     its own monotonic time; null if unknown, which ends all shelving.
     * @param incarnation durably raised at every start and every restore.
     */
    public static StationFold start(
            StationModel model,
            List<AlarmState> restored,
            @Nullable Moment savedAt,
            String gatewayId,
            long incarnation,
            Moment at) {
        throw new UnsupportedOperationException(
                "in work: " + model + restored + savedAt + gatewayId + incarnation + at);
    }

    /** What the start itself brought about, to be committed before the first input. */
    public StationStep opening() {
        throw new UnsupportedOperationException("in work");
    }

    public StationStep apply(StationInput input) {
        throw new UnsupportedOperationException("in work: " + input);
    }

    public StationView view() {
        throw new UnsupportedOperationException("in work");
    }
}
