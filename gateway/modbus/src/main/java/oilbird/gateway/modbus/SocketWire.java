package oilbird.gateway.modbus;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.Socket;
import java.net.SocketTimeoutException;
import java.util.concurrent.TimeUnit;

/** The bytes of a serial line through a TCP connection. */
final class SocketWire implements Wire {
    private final Socket socket;
    private final InputStream in;
    private final OutputStream out;

    SocketWire(Socket socket) throws IOException {
        this.socket = socket;
        socket.setTcpNoDelay(true);
        socket.setKeepAlive(true);
        in = socket.getInputStream();
        out = socket.getOutputStream();
    }

    @Override
    public int read(byte[] to, int offset, int length, long until) throws IOException {
        if (in.available() > 0) {
            return in.read(to, offset, length);
        }
        long left = until - System.nanoTime();
        if (left <= 0) {
            return 0;
        }
        // A socket's shortest time-out is 1 ms, and 0 would mean for ever.
        socket.setSoTimeout((int) Math.max(1, TimeUnit.NANOSECONDS.toMillis(left)));
        try {
            return in.read(to, offset, length);
        } catch (SocketTimeoutException nothing) {
            return 0;
        }
    }

    @Override
    public void write(byte[] from, int length) throws IOException {
        out.write(from, 0, length);
        out.flush();
    }

    @Override
    public void close() {
        try {
            socket.close();
        } catch (IOException nothingLeftToClose) {
            // The file descriptor is gone either way.
        }
    }
}
