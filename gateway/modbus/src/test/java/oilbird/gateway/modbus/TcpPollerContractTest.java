package oilbird.gateway.modbus;

import java.time.Duration;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.atomic.AtomicInteger;
import oilbird.gateway.station.Endpoint;
import oilbird.gateway.station.ModbusTcpEndpoint;

/** Modbus TCP, two units behind one connection. */
final class TcpPollerContractTest extends PollerContract {
    @Override
    FarEnd farEnd() {
        Map<Integer, Doing> doing = new ConcurrentHashMap<>();
        AtomicInteger requests = new AtomicInteger();
        RawDevice device = new RawDevice(request -> {
            requests.incrementAndGet();
            switch (doing.getOrDefault(request.unit(), Doing.ANSWERS)) {
                case ANSWERS -> request.send(request.registers(RIGHT));
                case REFUSES -> request.send(request.framed(request.function() | 0x80, 4));
                case GARBLES -> request.send(new byte[] {1, 2, 3, 4, 5, 6, 7, 8, 9, 10});
                case IS_SILENT -> {}
            }
        });
        return new FarEnd() {
            @Override
            public Endpoint endpoint(int unit, Duration deadline) {
                return new ModbusTcpEndpoint("127.0.0.1", device.port(), unit, deadline, 1);
            }

            @Override
            public void does(int unit, Doing what) {
                doing.put(unit, what);
            }

            @Override
            public int requests() {
                return requests.get();
            }

            @Override
            public void close() {
                device.close();
            }
        };
    }
}
