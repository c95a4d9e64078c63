package oilbird.gateway.modbus;

import static oilbird.gateway.modbus.PollingRig.FAST;
import static oilbird.gateway.modbus.PollingRig.PATIENT;
import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** Units behind a terminal server. */
final class MisbehavingUnitsOverTcpTest extends MisbehavingUnits {
    @Override
    RawUnit line(RawUnit.Manner manner) {
        return RawUnit.overTcp(manner);
    }

    @Test
    void aCloseInsteadOfAnAnswerAndInsideOne() throws Exception {
        try (RawUnit units = line(HEALTHY);
                PollingRig rig = new PollingRig(session("gas", units, UNIT, PATIENT, FAST))) {
            rig.awaitObserved("gas");
            units.behave(request -> {
                request.send(Arrays.copyOf(request.registers(WRONG), 4));
                request.line().dropAll();
            });
            assertFailed(rig, Fault.CLOSED_INSIDE_ANSWER);
            units.behave(HEALTHY);
            assertRecovered(rig);
            assertThat(units.connections()).isGreaterThan(1);
        }
    }
}
