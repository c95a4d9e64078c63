package oilbird.gateway.modbus;

import java.io.DataInputStream;
import java.io.EOFException;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;

/**
 * A device on a real socket that does with each request whatever a test tells it to. It shares no code with what
 * it tests: frames are put together here byte by byte.
 */
public final class RawDevice implements AutoCloseable {
    /** What the device does with one request. */
    @FunctionalInterface
    public interface Manner {
        void handle(Request request) throws IOException;
    }

    /**
     * One request as it came.
     *
     * @param connection counts from 1.
     * @param frame whole, with MBAP header.
     */
    public record Request(RawDevice device, Socket socket, int connection, byte[] frame) {
        int transaction() {
            return (frame[0] & 0xFF) << 8 | frame[1] & 0xFF;
        }

        public int unit() {
            return frame[6] & 0xFF;
        }

        public int function() {
            return frame[7] & 0xFF;
        }

        public int start() {
            return (frame[8] & 0xFF) << 8 | frame[9] & 0xFF;
        }

        public int count() {
            return (frame[10] & 0xFF) << 8 | frame[11] & 0xFF;
        }

        public void send(byte[] bytes) throws IOException {
            socket.getOutputStream().write(bytes);
            socket.getOutputStream().flush();
        }

        /** The right header around any PDU. */
        public byte[] framed(int... pdu) {
            byte[] answer = new byte[7 + pdu.length];
            answer[0] = frame[0];
            answer[1] = frame[1];
            answer[4] = (byte) ((pdu.length + 1) >> 8);
            answer[5] = (byte) (pdu.length + 1);
            answer[6] = frame[6];
            for (int i = 0; i < pdu.length; i++) {
                answer[7 + i] = (byte) pdu[i];
            }
            return answer;
        }

        /** Every register holds {@code value}. */
        byte[] registers(int value) {
            int[] pdu = new int[2 + 2 * count()];
            pdu[0] = function();
            pdu[1] = 2 * count();
            for (int i = 0; i < count(); i++) {
                pdu[2 + 2 * i] = value >> 8;
                pdu[3 + 2 * i] = value & 0xFF;
            }
            return framed(pdu);
        }

        /** Basic identification in one part: MODBUS Application Protocol V1.1b3, 6.21. */
        public byte[] identification(String... objects) {
            List<Integer> pdu = new ArrayList<>(List.of(0x2B, 0x0E, 1, 1, 0, 0, objects.length));
            for (int id = 0; id < objects.length; id++) {
                pdu.add(id);
                pdu.add(objects[id].length());
                objects[id].chars().forEach(pdu::add);
            }
            return framed(pdu.stream().mapToInt(Integer::intValue).toArray());
        }
    }

    static final HexFormat HEX = HexFormat.ofDelimiter(" ").withUpperCase();

    private final ServerSocket listener;
    private final List<Socket> sockets = new CopyOnWriteArrayList<>();
    private final BlockingQueue<Request> requests = new LinkedBlockingQueue<>();
    private volatile Manner manner;
    private volatile int connections;

    public RawDevice(Manner manner) {
        this(0, manner);
    }

    RawDevice(int port, Manner manner) {
        this.manner = manner;
        try {
            listener = new ServerSocket();
            listener.setReuseAddress(true);
            listener.bind(new InetSocketAddress(InetAddress.getLoopbackAddress(), port));
        } catch (IOException failure) {
            throw new UncheckedIOException(failure);
        }
        daemon("raw device", this::accept);
    }

    public int port() {
        return listener.getLocalPort();
    }

    public void behave(Manner next) {
        manner = next;
    }

    int connections() {
        return connections;
    }

    Request awaitRequest() throws InterruptedException {
        Request request = requests.poll(20, TimeUnit.SECONDS);
        if (request == null) {
            throw new AssertionError("no request within 20 s");
        }
        return request;
    }

    int requestsWaiting() {
        return requests.size();
    }

    private static void daemon(String name, Runnable work) {
        Thread thread = new Thread(work, name);
        thread.setDaemon(true);
        thread.start();
    }

    @SuppressWarnings("NonAtomicVolatileUpdate") // only the accepting thread counts
    private void accept() {
        try {
            while (true) {
                Socket socket = listener.accept();
                socket.setTcpNoDelay(true);
                sockets.add(socket);
                int number = ++connections;
                daemon("raw device, connection " + number, () -> serve(socket, number));
            }
        } catch (IOException closed) {
            // The test is over.
        }
    }

    private void serve(Socket socket, int number) {
        try (socket) {
            DataInputStream in = new DataInputStream(socket.getInputStream());
            while (true) {
                byte[] header = in.readNBytes(6);
                if (header.length < 6) {
                    throw new EOFException();
                }
                int length = (header[4] & 0xFF) << 8 | header[5] & 0xFF;
                byte[] frame = new byte[6 + length];
                System.arraycopy(header, 0, frame, 0, 6);
                in.readFully(frame, 6, length);
                Request request = new Request(this, socket, number, frame);
                requests.add(request);
                manner.handle(request);
            }
        } catch (IOException closed) {
            // Either side may hang up.
        }
    }

    @Override
    public void close() {
        try {
            listener.close();
            for (Socket socket : sockets) {
                socket.close();
            }
        } catch (IOException failure) {
            throw new UncheckedIOException(failure);
        }
    }
}
