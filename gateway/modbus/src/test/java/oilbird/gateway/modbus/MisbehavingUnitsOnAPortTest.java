package oilbird.gateway.modbus;

import static oilbird.gateway.modbus.PollingRig.FAST;
import static oilbird.gateway.modbus.PollingRig.PATIENT;
import static oilbird.gateway.modbus.PollingRig.SHORT;
import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Path;
import oilbird.alarm.station.StationInput;
import oilbird.mapping.signal.QualityReason;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Units on a real serial port: a pair of pseudo-terminals. */
final class MisbehavingUnitsOnAPortTest extends MisbehavingUnits {
    @TempDir
    @SuppressWarnings("NullAway") // set before each test
    Path folder;

    @Override
    RawUnit line(RawUnit.Manner manner, boolean echo) throws Exception {
        return RawUnit.onPort(manner, folder, echo);
    }

    @Test
    void anAdapterThatIsPulledOutWhileAnAnswerIsAwaitedIsGoneAtOnce() throws Exception {
        try (RawUnit units = line(request -> {});
                PollingRig rig = new PollingRig(session("gas", units, UNIT, PATIENT, FAST))) {
            units.awaitRequest();
            units.close();
            assertFailed(rig, Fault.PORT_LOST);
        }
    }

    @Test
    void anAdapterThatIsPulledOutIsNamedAndEveryDeviceOnItIsLost() throws Exception {
        try (RawUnit units = line(HEALTHY);
                PollingRig rig = new PollingRig(
                        session("gas", units, UNIT, SHORT, FAST), session("oil", units, 12, SHORT, FAST))) {
            rig.awaitObserved("gas");
            rig.awaitObserved("oil");
            units.close();
            for (String device : new String[] {"gas", "oil"}) {
                StationInput.RequestFailed failed =
                        (StationInput.RequestFailed) rig.await(input -> input instanceof StationInput.RequestFailed each
                                && each.device().equals(device)
                                && each.detail().startsWith(Fault.PORT_MISSING.words()));
                assertThat(failed.reason()).isEqualTo(QualityReason.UNREACHABLE);
            }
        }
    }
}
