package oilbird.gateway.modbus;

import com.fazecast.jSerialComm.SerialPort;
import com.fazecast.jSerialComm.SerialPortInvalidPortException;
import java.io.IOException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.locks.LockSupport;
import oilbird.gateway.station.SerialLine;

/** A serial port of this machine. */
final class SerialWire implements Wire {
    private static final int DATA_BITS = 8;
    /** A terminal's own time-out counts tenths of a second (termios, VTIME); shorter waits look again and again. */
    private static final long TERMINAL_TICK = TimeUnit.MILLISECONDS.toNanos(100);

    private static final long SHORT_LOOK = TimeUnit.MICROSECONDS.toNanos(400);
    private static final long LONGEST_WAIT = TimeUnit.SECONDS.toMillis(1);

    private final SerialPort port;

    private SerialWire(SerialPort port) {
        this.port = port;
    }

    /**
     * @throws IOException if there is no such port, or it cannot be had; the message says which.
     */
    static SerialWire open(SerialLine line, String path) throws IOException {
        SerialPort port;
        try {
            port = SerialPort.getCommPort(path);
        } catch (SerialPortInvalidPortException missing) {
            throw new IOException("no serial port " + path, missing);
        }
        int parity = switch (line.format()) {
            case EVEN_1 -> SerialPort.EVEN_PARITY;
            case ODD_1 -> SerialPort.ODD_PARITY;
            case NONE_1, NONE_2 -> SerialPort.NO_PARITY;
        };
        int stopBits = line.format() == SerialLine.Format.NONE_2 ? SerialPort.TWO_STOP_BITS : SerialPort.ONE_STOP_BIT;
        port.setComPortParameters(line.baud(), DATA_BITS, stopBits, parity);
        port.setFlowControl(SerialPort.FLOW_CONTROL_DISABLED);
        port.setComPortTimeouts(SerialPort.TIMEOUT_NONBLOCKING, 0, 0);
        if (!port.openPort()) {
            throw new IOException("serial port " + path + " cannot be opened (error " + port.getLastErrorCode()
                    + "); is it in use, or not permitted?");
        }
        // What came while the port was closed answers nothing that will be asked.
        port.flushIOBuffers();
        return new SerialWire(port);
    }

    @Override
    public int read(byte[] to, int offset, int length, long until) throws IOException {
        int there = available();
        while (there == 0) {
            long left = until - System.nanoTime();
            if (left <= 0) {
                return 0;
            }
            if (left >= TERMINAL_TICK) {
                int millis = (int) Math.min(TimeUnit.NANOSECONDS.toMillis(left), LONGEST_WAIT);
                port.setComPortTimeouts(SerialPort.TIMEOUT_READ_SEMI_BLOCKING, millis - millis % 100, 0);
                int count = port.readBytes(to, 1, offset);
                port.setComPortTimeouts(SerialPort.TIMEOUT_NONBLOCKING, 0, 0);
                if (count != 0) {
                    return count > 0 ? count : gone();
                }
            } else {
                LockSupport.parkNanos(this, SHORT_LOOK);
            }
            there = available();
        }
        int count = port.readBytes(to, Math.min(there, length), offset);
        return count >= 0 ? count : gone();
    }

    private int available() throws IOException {
        int there = port.bytesAvailable();
        return there >= 0 ? there : gone();
    }

    private static int gone() throws IOException {
        throw new IOException("the serial port is gone");
    }

    @Override
    public void write(byte[] from, int length) throws IOException {
        if (port.writeBytes(from, length) != length) {
            throw new IOException("the serial port takes nothing");
        }
    }

    @Override
    public void close() {
        port.closePort();
    }
}
