package oilbird.gateway.engine.outbox.contract;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * A wire to a peer that listens on TCP. While it is silent, connections come about, what is sent goes nowhere, and nothing
 * comes back.
 */
public final class Wire implements AutoCloseable {
    private final ServerSocket door;
    private final int to;
    private final List<Socket> open = new ArrayList<>();
    private volatile boolean silent;

    /**
     * @param to port of the peer on this machine.
     */
    public Wire(int to) throws IOException {
        this.to = to;
        this.door = new ServerSocket(0, 50, InetAddress.getByName("127.0.0.1"));
        run(this::accept);
    }

    public int port() {
        return door.getLocalPort();
    }

    public void silent(boolean now) throws IOException {
        silent = now;
        if (!now) {
            // What was swallowed is gone: nobody may go on in the middle.
            cut();
        }
    }

    private void accept() {
        try {
            while (!door.isClosed()) {
                Socket near = keep(door.accept());
                if (silent) {
                    run(() -> carry(near, null));
                    continue;
                }
                Socket far = keep(new Socket());
                try {
                    far.connect(new InetSocketAddress("127.0.0.1", to));
                } catch (IOException nobodyThere) {
                    near.close();
                    continue;
                }
                run(() -> carry(near, far));
                run(() -> carry(far, near));
            }
        } catch (IOException closed) {
            // The test is over.
        }
    }

    private void carry(Socket from, @Nullable Socket into) {
        byte[] bytes = new byte[8_192];
        try (from) {
            InputStream in = from.getInputStream();
            for (int read = in.read(bytes); read >= 0; read = in.read(bytes)) {
                if (into != null && !silent) {
                    OutputStream out = into.getOutputStream();
                    out.write(bytes, 0, read);
                    out.flush();
                }
            }
        } catch (IOException broken) {
            // The other half is closed below.
        }
        if (into != null) {
            close(into);
        }
    }

    private Socket keep(Socket socket) {
        synchronized (open) {
            open.removeIf(Socket::isClosed);
            open.add(socket);
        }
        return socket;
    }

    private void cut() {
        synchronized (open) {
            open.forEach(Wire::close);
            open.clear();
        }
    }

    private static void close(Socket socket) {
        try {
            socket.close();
        } catch (IOException ignored) {
            // It is gone all the same.
        }
    }

    private static void run(Runnable what) {
        Thread thread = new Thread(what, "wire");
        thread.setDaemon(true);
        thread.start();
    }

    @Override
    public void close() throws IOException {
        door.close();
        cut();
    }
}
