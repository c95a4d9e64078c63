package oilbird.acceptance.scenario;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.station.StationInput;
import oilbird.demoplant.course.Answering;
import oilbird.demoplant.device.DeviceImage;
import oilbird.demoplant.plant.MonitorState;
import oilbird.demoplant.plant.Plant;
import oilbird.gateway.engine.writer.GatewayIndication;
import oilbird.gateway.station.PolledDevice;
import oilbird.gateway.station.Station;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.NodeContent;
import oilbird.mapping.address.NodeSnapshot;
import oilbird.mapping.address.NodeValue;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.address.Request;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.Identification;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;

/**
 * Reads the plant as the pollers would, at the periods of the station file, without sockets and without waiting:
 * image, decoder, input of the fold.
 */
final class Polling {
    private final Plant plant;
    private final List<PolledDevice> devices;
    private final Map<String, Decoder> decoders = new LinkedHashMap<>();

    Polling(Station station, Plant plant) {
        this.plant = plant;
        this.devices = station.devices();
        for (PolledDevice device : devices) {
            decoders.computeIfAbsent(device.map().name(), name -> new Decoder(device.map()));
        }
    }

    /** What every device says at a plant time. */
    List<StationInput> at(Duration time, Moment now) {
        List<StationInput> inputs = new ArrayList<>();
        inputs.add(new StationInput.Observed(new Decoded(
                GatewayIndication.DEVICE, GatewayIndication.BLOCK, List.of(), gateway(now), List.of(), now)));
        for (PolledDevice device : devices) {
            List<Request> due = device.map().requests().stream()
                    .filter(r -> time.toMillis() % periodOf(device, r).toMillis() == 0)
                    .toList();
            if (due.isEmpty()) {
                continue;
            }
            MonitorState state = plant.at(device.id(), time);
            for (Request request : due) {
                inputs.add(answer(device, request, state, now));
            }
        }
        return inputs;
    }

    private static Duration periodOf(PolledDevice device, Request request) {
        Duration period = device.periods().get(request.pollClass());
        if (period == null) {
            throw new IllegalStateException("no period of " + request.name());
        }
        return period;
    }

    private static List<Indication> gateway(Moment now) {
        List<Indication> told = new ArrayList<>();
        for (GatewayIndication indication : GatewayIndication.values()) {
            told.add(Indication.of(new SignalId(GatewayIndication.DEVICE, indication.signal()), false, now));
        }
        return told;
    }

    private StationInput answer(PolledDevice device, Request request, MonitorState state, Moment now) {
        if (state.answering() != Answering.ANSWERS) {
            String block = state.answering() == Answering.REFUSES ? "" : request.name();
            return new StationInput.RequestFailed(
                    device.id(),
                    block,
                    QualityReason.UNREACHABLE,
                    state.answering().name(),
                    now);
        }
        Identification.Verdict verdict = verdict(device.map(), state);
        if (verdict == Identification.Verdict.OTHER_PRODUCT) {
            return new StationInput.RequestFailed(
                    device.id(),
                    "",
                    QualityReason.OTHER_PRODUCT,
                    state.nameplate().product(),
                    now);
        }
        Decoder decoder = decoders.get(device.map().name());
        if (decoder == null) {
            throw new IllegalStateException("no decoder of " + device.map().name());
        }
        Decoded decoded;
        if (request instanceof ReadBlock block) {
            if (!offered(state.image(), block)) {
                return new StationInput.RequestFailed(
                        device.id(), block.name(), QualityReason.REFUSED_BY_DEVICE, "exception 02", now);
            }
            int[] cells = state.image().cells(function(block.table()), block.start(), block.count());
            decoded = decoder.decode(device.id(), new RawBlock(block, cells), now);
        } else {
            decoded = decoder.decode(device.id(), snapshot((NodeBlock) request, state), now);
        }
        return new StationInput.Observed(
                verdict == Identification.Verdict.OTHER_FIRMWARE ? uncertain(decoded) : decoded);
    }

    private static Identification.Verdict verdict(DeviceMap map, MonitorState state) {
        Identification identification = map.identification();
        return identification == null
                ? Identification.Verdict.AS_MAPPED
                : identification.judge(
                        state.nameplate().vendor(),
                        state.nameplate().product(),
                        state.nameplate().revision());
    }

    /** As the poller does with a firmware revision that the map was not checked against. */
    private static Decoded uncertain(Decoded decoded) {
        return new Decoded(
                decoded.device(),
                decoded.block(),
                decoded.readings().stream()
                        .map(r -> r.degraded(QualityReason.OTHER_FIRMWARE))
                        .toList(),
                decoded.indications().stream()
                        .map(i -> i.state() == IndicationState.DOES_NOT_HOLD
                                ? Indication.cannotBeTold(i.id(), QualityReason.OTHER_FIRMWARE, i.at())
                                : i)
                        .toList(),
                decoded.words(),
                decoded.at());
    }

    private static int function(ModbusTable table) {
        return switch (table) {
            case COILS -> 1;
            case DISCRETE_INPUTS -> 2;
            case HOLDING_REGISTERS -> 3;
            case INPUT_REGISTERS -> 4;
        };
    }

    private static boolean offered(DeviceImage image, ReadBlock block) {
        int size = switch (block.table()) {
            case COILS -> 0;
            case DISCRETE_INPUTS -> image.discreteInputCount();
            case HOLDING_REGISTERS -> image.holdingRegisterCount();
            case INPUT_REGISTERS -> image.inputRegisterCount();
        };
        return block.start() + block.count() <= size;
    }

    private static NodeSnapshot snapshot(NodeBlock block, MonitorState state) {
        List<NodeValue> values = new ArrayList<>();
        for (NodeBlock.Item item : block.items()) {
            oilbird.demoplant.device.NodeValue held =
                    state.nodes().get(item.node().name().identifier());
            values.add(
                    held == null
                            ? NodeValue.of(new NodeContent.None(), 0x80340000L, "Bad_NodeIdUnknown")
                            : new NodeValue(
                                    NodeContent.of(held.value()),
                                    held.statusCode(),
                                    "0x" + Long.toHexString(held.statusCode()),
                                    held.sourceMillis(),
                                    null));
        }
        return new NodeSnapshot(block, values);
    }
}
