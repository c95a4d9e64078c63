package oilbird.gateway.modbus;

import java.nio.file.Path;
import org.junit.jupiter.api.io.TempDir;

/** A serial port: a pair of pseudo-terminals. */
final class SerialPollerContractTest extends PollerContract {
    @TempDir
    @SuppressWarnings("NullAway") // set before each test
    Path folder;

    @Override
    FarEnd farEnd() throws Exception {
        return new RtuFarEnd(manner -> RawUnit.onPort(manner, folder));
    }
}
