package oilbird.gateway.opcua.inspect;

import java.io.IOException;
import java.util.List;
import oilbird.gateway.command.inspect.LiveView;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.opcua.Probe;
import oilbird.mapping.address.Address;
import oilbird.mapping.address.Node;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.NodeContent;
import oilbird.mapping.address.NodeName;
import oilbird.mapping.address.NodeSnapshot;
import oilbird.mapping.address.NodeValue;
import oilbird.mapping.address.Request;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.map.DeviceMap;

/** A server's answers to the blocks of its map; read, whether the map subscribes to them or not. */
final class ServerAnswers implements LiveView.Source {
    private final Probe probe;
    private final DeviceMap map;
    private final Decoder decoder;
    private final GatewayClock clock = new SystemGatewayClock(1, WallTrust.ordinary());

    ServerAnswers(Probe probe, DeviceMap map) {
        this.probe = probe;
        this.map = map;
        this.decoder = new Decoder(map);
    }

    @Override
    public LiveView.Answer ask(Request request) {
        if (!(request instanceof NodeBlock block)) {
            return new LiveView.Answer.NotTold("not a block of nodes");
        }
        List<NodeName> names = block.items().stream().map(i -> i.node().name()).toList();
        List<NodeValue> values;
        try {
            values = probe.read(names);
        } catch (IOException e) {
            return new LiveView.Answer.NotTold("cannot be read: " + e.getMessage());
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            return new LiveView.Answer.NotTold("not read");
        }
        return new LiveView.Answer.Told(
                decoder.decode(map.name(), new NodeSnapshot(block, values), clock.now()),
                address -> name(address).toString(),
                address -> raw(values.get(block.index(name(address)))));
    }

    private static NodeName name(Address address) {
        if (address instanceof Node node) {
            return node.name();
        }
        throw new IllegalStateException("no node of a server: " + address);
    }

    private static String raw(NodeValue value) {
        NodeContent content = value.content();
        String shown = content instanceof NodeContent.Whole whole
                ? Long.toString(whole.bits()) + " (" + whole.width() + " bits)"
                : content instanceof NodeContent.Real real
                        ? Double.toString(real.value())
                        : content instanceof NodeContent.None ? "nothing" : content.toString();
        return shown + "  " + value.statusName();
    }
}
