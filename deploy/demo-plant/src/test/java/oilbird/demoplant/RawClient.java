package oilbird.demoplant;

import java.io.DataInputStream;
import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.Socket;
import java.util.HexFormat;

/** A Modbus TCP client that knows nothing but bytes: it sends what it is given and reads one frame by its length. */
public final class RawClient implements AutoCloseable {
    private static final HexFormat HEX = HexFormat.ofDelimiter(" ").withUpperCase();
    private static final int DEADLINE_MS = 5_000;

    private final Socket socket = new Socket();

    public RawClient(int port) throws IOException {
        socket.connect(new InetSocketAddress(InetAddress.getByName("127.0.0.1"), port), DEADLINE_MS);
        socket.setSoTimeout(DEADLINE_MS);
        socket.setTcpNoDelay(true);
    }

    /** How long {@link #read()} waits before it throws {@link java.net.SocketTimeoutException}. */
    public RawClient patience(int millis) throws IOException {
        socket.setSoTimeout(millis);
        return this;
    }

    /** Sends bytes given in hexadecimal, separated by spaces. */
    public void send(String hex) throws IOException {
        socket.getOutputStream().write(HEX.parseHex(hex));
    }

    /** Reads one frame: the six bytes with the length, then as many bytes as it says. */
    public String read() throws IOException {
        DataInputStream in = new DataInputStream(socket.getInputStream());
        byte[] head = in.readNBytes(6);
        if (head.length < 6) {
            return "closed";
        }
        byte[] rest = in.readNBytes((head[4] & 0xFF) << 8 | head[5] & 0xFF);
        return HEX.formatHex(head) + " " + HEX.formatHex(rest);
    }

    /** Reads exactly so many bytes, whatever they say. */
    public String readBytes(int count) throws IOException {
        return HEX.formatHex(socket.getInputStream().readNBytes(count));
    }

    public String ask(String hex) throws IOException {
        send(hex);
        return read();
    }

    @Override
    public void close() throws IOException {
        socket.close();
    }
}
