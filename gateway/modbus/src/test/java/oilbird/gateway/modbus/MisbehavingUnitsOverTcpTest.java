package oilbird.gateway.modbus;

import static oilbird.gateway.modbus.PollingRig.FAST;
import static oilbird.gateway.modbus.PollingRig.PATIENT;
import static oilbird.gateway.modbus.PollingRig.SHORT;
import static org.assertj.core.api.Assertions.assertThat;

import java.net.InetAddress;
import java.net.ServerSocket;
import java.time.Duration;
import java.util.Arrays;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.station.ModbusRtuEndpoint;
import oilbird.gateway.station.SerialLine;
import oilbird.mapping.signal.QualityReason;
import org.junit.jupiter.api.Test;

/** Units behind a terminal server. */
final class MisbehavingUnitsOverTcpTest extends MisbehavingUnits {
    @Override
    RawUnit line(RawUnit.Manner manner, boolean echo) {
        return RawUnit.overTcp(manner, 0, echo);
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

    @Test
    void aReset() throws Exception {
        try (RawUnit units = line(HEALTHY);
                PollingRig rig = new PollingRig(session("gas", units, UNIT, PATIENT, FAST))) {
            rig.awaitObserved("gas");
            units.behave(request -> request.line().resetAll());
            assertFailed(rig, Fault.CONNECTION_RESET);
            units.behave(HEALTHY);
            assertRecovered(rig);
        }
    }

    @Test
    void aConnectionThatIsTakenAndLeftAloneAndThenRefused() throws Exception {
        try (ServerSocket deaf = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
                PollingRig rig = new PollingRig(PollingRig.session("gas", at(deaf.getLocalPort()), FAST))) {
            assertFailed(rig, Fault.NO_ANSWER);
            int port = deaf.getLocalPort();
            deaf.close();
            rig.await(input -> input instanceof StationInput.RequestFailed failed
                    && failed.detail().startsWith(Fault.CONNECTION_REFUSED.words())
                    && failed.reason() == QualityReason.UNREACHABLE);
            try (RawUnit units = RawUnit.overTcp(HEALTHY, port, false)) {
                assertRecovered(rig);
                assertThat(units.connections()).isPositive();
            }
        }
    }

    private static ModbusRtuEndpoint at(int port) {
        SerialLine line = new SerialLine(
                "line-1",
                "serial line of the test",
                new SerialLine.Way.Tcp("127.0.0.1", port),
                115_200,
                SerialLine.Format.EVEN_1,
                false);
        return new ModbusRtuEndpoint(line, UNIT, SHORT, Duration.ZERO, Duration.ZERO, Duration.ZERO);
    }
}
