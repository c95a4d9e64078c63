package oilbird.gateway.modbus.inspect;

import oilbird.gateway.command.inspect.LiveView;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.mapping.address.Address;
import oilbird.mapping.address.Place;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.address.Request;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.ReadEffect;

/** A Modbus device's answers to the requests of its map; what has an effect is not asked. */
final class ModbusAnswers implements LiveView.Source {
    private final DeviceProbe probe;
    private final DeviceMap map;
    private final Decoder decoder;
    private final GatewayClock clock = new SystemGatewayClock(1, WallTrust.ordinary());

    ModbusAnswers(DeviceProbe probe, DeviceMap map) {
        this.probe = probe;
        this.map = map;
        this.decoder = new Decoder(map);
    }

    @Override
    public LiveView.Answer ask(Request request) {
        if (!(request instanceof ReadBlock block)) {
            return new LiveView.Answer.NotTold("not a request of Modbus");
        }
        ReadEffect effect = map.effectOf(block).orElse(null);
        if (effect != null) {
            return new LiveView.Answer.NotTold("not read, since reading has an effect (" + effect.text() + ")");
        }
        DeviceProbe.Piece piece = probe.read(block);
        RawBlock raw = piece.cells();
        if (raw == null) {
            return new LiveView.Answer.NotTold(ShownCells.place(piece.place()) + " cannot be read: " + piece.why());
        }
        return new LiveView.Answer.Told(
                decoder.decode(map.name(), raw, clock.now()),
                address -> ShownCells.place(place(address)),
                address -> ShownCells.raw(raw, place(address)));
    }

    private static Place place(Address address) {
        if (address instanceof Place place) {
            return place;
        }
        throw new IllegalStateException("no place in a Modbus device: " + address);
    }
}
