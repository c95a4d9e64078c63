package oilbird.gateway.modbus;

import java.time.Duration;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.atomic.AtomicInteger;
import oilbird.gateway.station.Endpoint;

/** Two units of a serial line for the contract. */
final class RtuFarEnd implements PollerContract.FarEnd {
    private final Map<Integer, PollerContract.Doing> doing = new ConcurrentHashMap<>();
    private final AtomicInteger requests = new AtomicInteger();
    private final RawUnit units;

    /** Makes the line whose units behave so. */
    interface Making {
        RawUnit of(RawUnit.Manner manner) throws Exception;
    }

    RtuFarEnd(Making making) throws Exception {
        units = making.of(request -> {
            requests.incrementAndGet();
            switch (doing.getOrDefault(request.unit(), PollerContract.Doing.ANSWERS)) {
                case ANSWERS -> request.send(request.registers(PollerContract.RIGHT));
                case REFUSES -> request.send(request.framed(request.function() | 0x80, 4));
                case GARBLES -> request.send(new byte[] {(byte) 0xF9, 2, 3, 4, 5, 6, 7, 8, 9, 10});
                case IS_SILENT -> {}
            }
        });
    }

    @Override
    public Endpoint endpoint(int unit, Duration deadline) {
        return units.endpoint(unit, deadline);
    }

    @Override
    public void does(int unit, PollerContract.Doing what) {
        doing.put(unit, what);
    }

    @Override
    public int requests() {
        return requests.get();
    }

    @Override
    public void close() throws Exception {
        units.close();
    }
}
