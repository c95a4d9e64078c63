package oilbird.gateway.modbus;

import java.io.DataInputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.function.UnaryOperator;
import oilbird.gateway.station.ModbusRtuEndpoint;
import oilbird.gateway.station.SerialLine;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Assumptions;

/**
 * The units of a serial line, behind a TCP connection or a real serial port, that do with each request whatever a test
 * tells them to. It shares no code with what it tests: frames and checksums are made here byte by byte.
 */
public final class RawUnit implements AutoCloseable {
    /** What the units do with one request. */
    @FunctionalInterface
    public interface Manner {
        void handle(Request request) throws IOException;
    }

    /**
     * One request as it came.
     *
     * @param frame whole, with its checksum.
     */
    public record Request(RawUnit line, byte[] frame, OutputStream out) {
        public int unit() {
            return frame[0] & 0xFF;
        }

        public int function() {
            return frame[1] & 0xFF;
        }

        public int start() {
            return (frame[2] & 0xFF) << 8 | frame[3] & 0xFF;
        }

        public int count() {
            return (frame[4] & 0xFF) << 8 | frame[5] & 0xFF;
        }

        public void send(byte[] bytes) throws IOException {
            out.write(bytes);
            out.flush();
        }

        /** The requested unit's number and the right checksum around any PDU. */
        public byte[] framed(int... pdu) {
            return frameOf(unit(), pdu);
        }

        /** Every register holds {@code value}. */
        public byte[] registers(int value) {
            int[] pdu = new int[2 + 2 * count()];
            pdu[0] = function();
            pdu[1] = 2 * count();
            for (int i = 0; i < count(); i++) {
                pdu[2 + 2 * i] = value >> 8;
                pdu[3 + 2 * i] = value & 0xFF;
            }
            return framed(pdu);
        }
    }

    private final BlockingQueue<Request> requests = new LinkedBlockingQueue<>();
    private final List<AutoCloseable> ends = new CopyOnWriteArrayList<>();
    private final SerialLine line;
    private volatile Manner manner;
    private volatile UnaryOperator<byte[]> echo = UnaryOperator.identity();
    private volatile @Nullable OutputStream latest;
    private volatile int connections;

    private RawUnit(Manner manner, SerialLine line) {
        this.manner = manner;
        this.line = line;
    }

    static byte[] frameOf(int unit, int... pdu) {
        byte[] frame = new byte[3 + pdu.length];
        frame[0] = (byte) unit;
        for (int i = 0; i < pdu.length; i++) {
            frame[1 + i] = (byte) pdu[i];
        }
        int crc = crc(frame, 1 + pdu.length);
        frame[1 + pdu.length] = (byte) crc;
        frame[2 + pdu.length] = (byte) (crc >> 8);
        return frame;
    }

    /** Bit by bit, as MODBUS over Serial Line V1.02, 6.2.2, describes it: preset FFFF, polynomial A001, low byte first. */
    static int crc(byte[] bytes, int length) {
        int crc = 0xFFFF;
        for (int i = 0; i < length; i++) {
            crc ^= bytes[i] & 0xFF;
            for (int shift = 0; shift < 8; shift++) {
                crc = (crc & 1) == 0 ? crc >> 1 : crc >> 1 ^ 0xA001;
            }
        }
        return crc;
    }

    /** Behind a terminal server. */
    public static RawUnit overTcp(Manner manner) {
        return overTcp(manner, 0, false);
    }

    static RawUnit overTcp(Manner manner, int port, boolean echo) {
        try {
            ServerSocket listener = new ServerSocket(port, 50, InetAddress.getLoopbackAddress());
            RawUnit unit = new RawUnit(
                    manner, line(new SerialLine.Way.Tcp("127.0.0.1", listener.getLocalPort()), 115_200, echo));
            unit.ends.add(listener);
            daemon("raw units", () -> unit.accept(listener));
            return unit;
        } catch (IOException failure) {
            throw new UncheckedIOException(failure);
        }
    }

    static RawUnit onPort(Manner manner, Path folder) throws IOException, InterruptedException {
        return onPort(manner, folder, false);
    }

    /** On a real serial port: one end of a pair of pseudo-terminals. Without socat the test is left out, and says so. */
    static RawUnit onPort(Manner manner, Path folder, boolean echo) throws IOException, InterruptedException {
        Path ours = folder.resolve("line-ours");
        Path theirs = folder.resolve("line-theirs");
        Process socat;
        try {
            socat = new ProcessBuilder("socat", "pty,raw,echo=0,link=" + ours, "pty,raw,echo=0,link=" + theirs)
                    .redirectErrorStream(true)
                    .start();
        } catch (IOException missing) {
            Assumptions.abort("no serial line to test on: socat is missing (" + missing.getMessage()
                    + "); install Debian's package socat");
            throw missing;
        }
        RawUnit unit = new RawUnit(manner, line(new SerialLine.Way.Port(ours.toString()), 115_200, echo));
        unit.ends.add(() -> {
            socat.destroy();
            socat.waitFor();
        });
        PollingRig.awaitUntil("socat has made both ends", () -> Files.exists(ours) && Files.exists(theirs));
        // A pseudo-terminal that nobody holds open is gone, unlike a real port; never read from.
        InputStream held = Files.newInputStream(ours);
        unit.ends.add(held);
        InputStream in = Files.newInputStream(theirs);
        OutputStream out = Files.newOutputStream(theirs);
        unit.connections = 1;
        daemon("raw units", () -> unit.serve(in, out));
        return unit;
    }

    private static SerialLine line(SerialLine.Way way, int baud, boolean echo) {
        // A pseudo-terminal has no parity, and is opened with one only once.
        SerialLine.Format format =
                way instanceof SerialLine.Way.Port ? SerialLine.Format.NONE_2 : SerialLine.Format.EVEN_1;
        return new SerialLine("line-1", "serial line of the test", way, baud, format, echo);
    }

    /** Where it listens, behind a terminal server. */
    public int port() {
        if (line.way() instanceof SerialLine.Way.Tcp tcp) {
            return tcp.port();
        }
        throw new IllegalStateException("not over TCP");
    }

    SerialLine line() {
        return line;
    }

    ModbusRtuEndpoint endpoint(int unit, Duration deadline) {
        return new ModbusRtuEndpoint(line, unit, deadline, Duration.ZERO, Duration.ZERO, Duration.ZERO);
    }

    int connections() {
        return connections;
    }

    void behave(Manner next) {
        manner = next;
    }

    /** What the adapter gives back of each request, on a line with echo. */
    void echoes(UnaryOperator<byte[]> next) {
        echo = next;
    }

    /**
     * Puts bytes on the line without having been asked, by whoever drives the wires.
     *
     * @throws IOException when nobody is on the line.
     */
    void intrude(byte[] bytes) throws IOException {
        OutputStream to = latest;
        if (to == null) {
            throw new IOException("nobody is on the line");
        }
        to.write(bytes);
        to.flush();
    }

    Request awaitRequest() throws InterruptedException {
        Request request = requests.poll(20, TimeUnit.SECONDS);
        if (request == null) {
            throw new AssertionError("no request within 20 s");
        }
        return request;
    }

    /** Requests not yet taken by {@link #awaitRequest}. */
    List<Request> waiting() {
        return new ArrayList<>(requests);
    }

    private static void daemon(String name, Runnable work) {
        Thread thread = new Thread(work, name);
        thread.setDaemon(true);
        thread.start();
    }

    @SuppressWarnings("NonAtomicVolatileUpdate") // only the accepting thread counts
    private void accept(ServerSocket listener) {
        try {
            while (true) {
                Socket socket = listener.accept();
                socket.setTcpNoDelay(true);
                ends.add(socket);
                connections++;
                InputStream in = socket.getInputStream();
                OutputStream out = socket.getOutputStream();
                daemon("raw units, a connection", () -> serve(in, out));
            }
        } catch (IOException closed) {
            // The test is over.
        }
    }

    private void serve(InputStream from, OutputStream out) {
        latest = out;
        try {
            DataInputStream in = new DataInputStream(from);
            while (true) {
                byte[] start = new byte[2];
                in.readFully(start);
                // Identification has one byte less than the requests that read cells.
                byte[] frame = new byte[start[1] == 0x2B ? 7 : 8];
                frame[0] = start[0];
                frame[1] = start[1];
                in.readFully(frame, 2, frame.length - 2);
                Request request = new Request(this, frame, out);
                if (line.echo()) {
                    request.send(echo.apply(frame.clone()));
                }
                requests.add(request);
                manner.handle(request);
            }
        } catch (IOException closed) {
            // Either side may hang up.
        }
    }

    /** Drops the connection without a good-bye, as when a terminal server loses its supply. */
    void resetAll() throws IOException {
        for (AutoCloseable end : ends) {
            if (end instanceof Socket socket && !socket.isClosed()) {
                socket.setSoLinger(true, 0);
                socket.close();
            }
        }
    }

    /** Hangs up, as when a terminal server restarts, and goes on listening. */
    void dropAll() throws IOException {
        for (AutoCloseable end : ends) {
            if (end instanceof Socket socket) {
                socket.close();
            }
        }
    }

    @Override
    public void close() throws Exception {
        for (AutoCloseable end : ends) {
            end.close();
        }
    }
}
