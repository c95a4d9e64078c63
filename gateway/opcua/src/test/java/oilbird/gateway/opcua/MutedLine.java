package oilbird.gateway.opcua;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;

/** A network line before a server that can swallow what the server says and still looks open. */
final class MutedLine implements AutoCloseable {
    private final ServerSocket listener;
    private final int behind;
    private final List<Socket> open = new CopyOnWriteArrayList<>();
    private volatile boolean muted;

    MutedLine(int behind) throws IOException {
        this.behind = behind;
        listener = new ServerSocket(0, 10, InetAddress.getLoopbackAddress());
        begin(() -> {
            while (true) {
                Socket near = listener.accept();
                Socket far = new Socket(InetAddress.getLoopbackAddress(), behind);
                open.add(near);
                open.add(far);
                begin(() -> pump(near, far, false));
                begin(() -> pump(far, near, true));
            }
        });
    }

    private interface Work {
        void run() throws IOException;
    }

    private static void begin(Work work) {
        Thread thread = new Thread(() -> {
            try {
                work.run();
            } catch (IOException closed) {
                // The end of a line.
            }
        });
        thread.setDaemon(true);
        thread.start();
    }

    private void pump(Socket from, Socket to, boolean answers) throws IOException {
        InputStream in = from.getInputStream();
        OutputStream out = to.getOutputStream();
        byte[] buffer = new byte[8192];
        for (int count = in.read(buffer); count >= 0; count = in.read(buffer)) {
            if (!muted || !answers) {
                out.write(buffer, 0, count);
                out.flush();
            }
        }
        to.close();
    }

    int port() {
        return listener.getLocalPort();
    }

    void mute() {
        muted = true;
    }

    /** Lines that have lost bytes are of no use any more: they end. */
    void unmute() throws IOException {
        for (Socket socket : open) {
            socket.close();
        }
        open.clear();
        muted = false;
    }

    @Override
    public void close() throws IOException {
        listener.close();
        unmute();
    }

    @Override
    public String toString() {
        return "line to " + behind;
    }
}
