package oilbird.gateway.modbus;

import static oilbird.gateway.modbus.PollingRig.PATIENT;
import static org.assertj.core.api.Assertions.assertThat;

import com.digitalpetri.modbus.server.ModbusTcpServer;
import com.digitalpetri.modbus.server.ProcessImage;
import com.digitalpetri.modbus.server.ReadOnlyModbusServices;
import com.digitalpetri.modbus.tcp.server.NettyTcpServerTransport;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.station.StationInput;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/** Normal operation against a server that others wrote: com.digitalpetri.modbus:modbus-tcp 2.1.4. */
@Timeout(value = 60, unit = TimeUnit.SECONDS)
final class IndependentServerTest {
    private static final int UNIT = 21;
    private static final ProcessImage IMAGE = new ProcessImage();
    private static ModbusTcpServer server;
    private static int port;

    @BeforeAll
    static void startServer() throws Exception {
        try (ServerSocket free = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            port = free.getLocalPort();
        }
        IMAGE.with(transaction -> {
            transaction.writeCoils(coils -> coils.putAll(Map.of(0, true, 8, true, 9, false, 1999, true)));
            transaction.writeDiscreteInputs(inputs -> inputs.putAll(Map.of(5, true, 6, true, 15, true)));
            transaction.writeHoldingRegisters(registers -> {
                registers.put(0, new byte[] {(byte) 0xFF, (byte) 0xFE});
                registers.put(124, new byte[] {0x12, 0x34});
                registers.put(65535, new byte[] {0x00, 0x07});
            });
            transaction.writeInputRegisters(registers -> registers.put(3, new byte[] {(byte) 0x80, 0x01}));
        });
        server = ModbusTcpServer.create(
                NettyTcpServerTransport.create(
                        config -> config.setBindAddress("127.0.0.1").setPort(port)),
                new ReadOnlyModbusServices() {
                    @Override
                    protected Optional<ProcessImage> getProcessImage(int unitId) {
                        return unitId == UNIT ? Optional.of(IMAGE) : Optional.empty();
                    }
                });
        server.start();
    }

    @AfterAll
    static void stopServer() throws Exception {
        server.stop();
    }

    private static final List<ReadBlock> BLOCKS = List.of(
            new ReadBlock("coils", ModbusTable.COILS, 0, 2000, "fast"),
            new ReadBlock("inputs", ModbusTable.DISCRETE_INPUTS, 5, 11, "fast"),
            new ReadBlock("holding", ModbusTable.HOLDING_REGISTERS, 0, 125, "fast"),
            new ReadBlock("last", ModbusTable.HOLDING_REGISTERS, 65535, 1, "slow"),
            new ReadBlock("input", ModbusTable.INPUT_REGISTERS, 2, 3, "fast"));

    @Test
    void allFourTablesArriveCellForCell() throws Exception {
        try (PollingRig rig = new PollingRig(session("cooling-t1", UNIT, PATIENT))) {
            Map<String, Map<Integer, Integer>> nonZero = new TreeMap<>();
            while (nonZero.size() < BLOCKS.size()) {
                Decoded decoded = rig.awaitObserved("cooling-t1");
                Map<Integer, Integer> found = new TreeMap<>();
                for (Reading reading : decoded.readings()) {
                    if (reading.number() != null && reading.number() != 0) {
                        found.put(
                                Integer.parseInt(reading.id().name()),
                                reading.number().intValue());
                    }
                }
                nonZero.put(decoded.block(), found);
            }
            assertThat(nonZero.get("coils")).isEqualTo(Map.of(0, 1, 8, 1, 1999, 1));
            assertThat(nonZero.get("inputs")).isEqualTo(Map.of(5, 1, 6, 1, 15, 1));
            assertThat(nonZero.get("holding")).isEqualTo(Map.of(0, 0xFFFE, 124, 0x1234));
            assertThat(nonZero.get("last")).isEqualTo(Map.of(65535, 7));
            assertThat(nonZero.get("input")).isEqualTo(Map.of(3, 0x8001));
            DeviceStatus status = rig.status("cooling-t1");
            assertThat(status.condition()).isEqualTo(DeviceStatus.Condition.ANSWERING);
            assertThat(status.counts().faults()).isEmpty();
            assertThat(status.counts().exceptions()).isEmpty();
            assertThat(status.counts().lastRoundTripNanos()).isPositive();
        }
    }

    /** That server leaves a unit id that it does not know without an answer. */
    @Test
    void aUnitThatIsNotThereIsThatUnitsLossOnly() throws Exception {
        try (PollingRig rig = new PollingRig(
                session("cooling-t1", UNIT, PATIENT), session("cooling-t2", UNIT + 1, Duration.ofMillis(100)))) {
            StationInput.RequestFailed failed = rig.awaitFailure("cooling-t2", "holding");
            assertThat(failed.reason()).isEqualTo(QualityReason.UNREACHABLE);
            assertThat(failed.detail()).isEqualTo("no answer within the deadline (100 ms)");
            for (int i = 0; i < 10; i++) {
                rig.awaitObserved("cooling-t1");
            }
            assertThat(rig.status("cooling-t1").counts().faults()).isEmpty();
        }
    }

    private static DeviceSession session(String device, int unit, Duration deadline) {
        return new DeviceSession(
                device,
                "127.0.0.1",
                port,
                unit,
                BLOCKS,
                PollingRig.PERIODS,
                deadline,
                (block, at) -> PollingRig.plain(device, block, at),
                null);
    }
}
