package oilbird.gateway.modbus;

/** A serial line behind a terminal server. */
final class RtuOverTcpPollerContractTest extends PollerContract {
    @Override
    FarEnd farEnd() throws Exception {
        return new RtuFarEnd(RawUnit::overTcp);
    }
}
