package oilbird.gateway.engine.writer;

import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.Refusal;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationStep;
import oilbird.alarm.station.StationView;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;

/** A fold that notes every input and makes one event of each that does not come from the gateway itself. */
final class ScriptedFold implements Fold {
    final List<StationInput> inputs = new ArrayList<>();
    long wakeAt = AlarmState.NEVER;
    private long sequence;

    @Override
    public StationStep opening() {
        return new StationStep(List.of(), List.of(), wakeAt, null);
    }

    @Override
    public StationStep apply(StationInput input) {
        inputs.add(input);
        if (input instanceof StationInput.Elapsed) {
            wakeAt = AlarmState.NEVER;
        }
        if (input instanceof StationInput.RequestFailed failed
                && failed.detail().equals("fault")) {
            throw new IllegalStateException("a fault in the fold");
        }
        boolean own = input instanceof StationInput.Observed observed
                && observed.decoded().device().equals(GatewayIndication.DEVICE);
        Refusal refusal = input instanceof StationInput.Act ? Refusal.NOT_SHELVED : null;
        List<StationEvent> events = own
                ? List.of()
                : List.of(new StationEvent.Notice(
                        new EventId("windlow-gw", 1, ++sequence),
                        StationEvent.Notice.Kind.UNDOCUMENTED_BIT,
                        new SignalId("gas-1", "w"),
                        input.getClass().getSimpleName(),
                        input.at()));
        return new StationStep(events, List.of(), wakeAt, refusal);
    }

    @Override
    public StationView view() {
        return new StationView(
                inputs.isEmpty()
                        ? new Moment(0, 0, true)
                        : inputs.get(inputs.size() - 1).at(),
                Map.of(),
                Map.of(),
                new StationView.Flood(false, inputs.size()));
    }

    @Override
    public List<Remembered> remembered() {
        return List.of();
    }

    /** The gateway indications that held when the gateway last told of itself. */
    Set<String> gatewayHolds() {
        Set<String> holds = new LinkedHashSet<>();
        for (StationInput input : inputs) {
            if (input instanceof StationInput.Observed observed
                    && observed.decoded().device().equals(GatewayIndication.DEVICE)) {
                holds.clear();
                for (Indication indication : observed.decoded().indications()) {
                    if (indication.state() == IndicationState.HOLDS) {
                        holds.add(indication.id().name());
                    }
                }
            }
        }
        return holds;
    }

    List<StationInput> without(Class<?> kind) {
        return inputs.stream().filter(input -> !kind.isInstance(input)).toList();
    }
}
