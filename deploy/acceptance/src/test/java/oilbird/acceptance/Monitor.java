package oilbird.acceptance;

import com.digitalpetri.modbus.server.ModbusTcpServer;
import com.digitalpetri.modbus.server.ProcessImage;
import com.digitalpetri.modbus.server.ReadOnlyModbusServices;
import com.digitalpetri.modbus.tcp.server.NettyTcpServerTransport;
import java.io.IOException;
import java.net.ServerSocket;
import java.util.Optional;

/**
 * A monitor on the wire, served by an independent Modbus library (digitalpetri modbus-tcp). It knows registers
 * and discrete inputs and nothing of what they mean.
 */
final class Monitor implements AutoCloseable {
    private final ProcessImage image = new ProcessImage();
    private final int port;
    private final ModbusTcpServer server;

    Monitor() throws Exception {
        port = freePort();
        server = ModbusTcpServer.create(
                NettyTcpServerTransport.create(config -> {
                    config.bindAddress = "127.0.0.1";
                    config.port = port;
                }),
                new ReadOnlyModbusServices() {
                    @Override
                    protected Optional<ProcessImage> getProcessImage(int unit) {
                        return Optional.of(image);
                    }
                });
        server.start();
    }

    static int freePort() throws IOException {
        try (ServerSocket socket = new ServerSocket(0)) {
            return socket.getLocalPort();
        }
    }

    int port() {
        return port;
    }

    /**
     * @param address zero-based PDU address.
     */
    void setInputRegister(int address, int value) {
        image.with(tx -> tx.writeInputRegisters(registers -> registers.put(address, bytes(value))));
    }

    /**
     * @param address zero-based PDU address.
     */
    void setHoldingRegister(int address, int value) {
        image.with(tx -> tx.writeHoldingRegisters(registers -> registers.put(address, bytes(value))));
    }

    /** An IEEE 754 single precision value in two registers, low word first. */
    void setInputFloatLowWordFirst(int address, float value) {
        int bits = Float.floatToIntBits(value);
        image.with(tx -> tx.writeInputRegisters(registers -> {
            registers.put(address, bytes(bits & 0xFFFF));
            registers.put(address + 1, bytes(bits >>> 16));
        }));
    }

    void setDiscreteInput(int address, boolean value) {
        image.with(tx -> tx.writeDiscreteInputs(inputs -> inputs.put(address, value)));
    }

    private static byte[] bytes(int value) {
        return new byte[] {(byte) (value >>> 8), (byte) value};
    }

    @Override
    public void close() throws Exception {
        server.stop();
    }
}
