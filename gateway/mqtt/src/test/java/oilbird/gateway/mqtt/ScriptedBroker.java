package oilbird.gateway.mqtt;

import java.io.DataInputStream;
import java.io.EOFException;
import java.io.IOException;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;

/**
 * A broker that takes connections and publishes and confirms only what the test tells it to. Packets by MQTT
 * 3.1.1 (OASIS Standard, 29 October 2014): CONNECT 3.1, CONNACK 3.2, PUBLISH 3.3, PUBACK 3.4, PINGREQ 3.12.
 */
final class ScriptedBroker implements AutoCloseable {
    record Publish(String topic, boolean retain, int qos, int packet, String payload) {}

    private static final int CONNECT = 1;
    private static final int PUBLISH = 3;
    private static final int PING_REQUEST = 12;

    private final ServerSocket server;
    private final BlockingQueue<Publish> publishes = new LinkedBlockingQueue<>();
    private final List<Socket> sockets = new ArrayList<>();
    private volatile byte[] connect = {};
    private volatile boolean confirming;

    ScriptedBroker(boolean confirming) throws IOException {
        this.confirming = confirming;
        this.server = new ServerSocket(0, 5, InetAddress.getLoopbackAddress());
        start(this::accept, "scripted-broker");
    }

    int port() {
        return server.getLocalPort();
    }

    /** The body of the last CONNECT packet. */
    byte[] connectPacket() {
        return connect;
    }

    Publish nextPublish() throws InterruptedException {
        Publish next = publishes.poll(10, TimeUnit.SECONDS);
        if (next == null) {
            throw new AssertionError("no PUBLISH came within 10 s");
        }
        return next;
    }

    void confirm(Publish publish) throws IOException {
        synchronized (sockets) {
            write(sockets.get(sockets.size() - 1), 0x40, 0x02, publish.packet() >> 8, publish.packet() & 0xFF);
        }
    }

    void confirmEverythingFromNow() {
        confirming = true;
    }

    /** Breaks the connection without a word. */
    void dropConnections() throws IOException {
        synchronized (sockets) {
            for (Socket socket : sockets) {
                socket.close();
            }
            sockets.clear();
        }
    }

    private void accept() {
        try {
            while (!server.isClosed()) {
                Socket socket = server.accept();
                synchronized (sockets) {
                    sockets.add(socket);
                }
                start(() -> serve(socket), "scripted-broker-connection");
            }
        } catch (IOException closed) {
            // The test is over.
        }
    }

    private void serve(Socket socket) {
        try {
            DataInputStream in = new DataInputStream(socket.getInputStream());
            while (true) {
                int header = in.readUnsignedByte();
                byte[] body = in.readNBytes(remainingLength(in));
                switch (header >> 4) {
                    case CONNECT -> {
                        connect = body;
                        write(socket, 0x20, 0x02, 0x00, 0x00);
                    }
                    case PUBLISH -> {
                        Publish publish = publish(header, body);
                        publishes.add(publish);
                        if (confirming) {
                            confirm(publish);
                        }
                    }
                    case PING_REQUEST -> write(socket, 0xD0, 0x00);
                    default -> {}
                }
            }
        } catch (EOFException ended) {
            // The client left.
        } catch (IOException broken) {
            // The test broke the connection.
        }
    }

    private static int remainingLength(DataInputStream in) throws IOException {
        int value = 0;
        for (int shift = 0; ; shift += 7) {
            int digit = in.readUnsignedByte();
            value |= (digit & 0x7F) << shift;
            if ((digit & 0x80) == 0) {
                return value;
            }
        }
    }

    private static Publish publish(int header, byte[] body) {
        int qos = (header >> 1) & 3;
        int topicLength = (body[0] & 0xFF) << 8 | body[1] & 0xFF;
        String topic = new String(body, 2, topicLength, StandardCharsets.UTF_8);
        int at = 2 + topicLength;
        int packet = qos == 0 ? 0 : (body[at] & 0xFF) << 8 | body[at + 1] & 0xFF;
        int from = qos == 0 ? at : at + 2;
        return new Publish(
                topic,
                (header & 1) == 1,
                qos,
                packet,
                new String(body, from, body.length - from, StandardCharsets.UTF_8));
    }

    private static void write(Socket socket, int... bytes) throws IOException {
        byte[] packet = new byte[bytes.length];
        for (int i = 0; i < bytes.length; i++) {
            packet[i] = (byte) bytes[i];
        }
        OutputStream out = socket.getOutputStream();
        synchronized (socket) {
            out.write(packet);
            out.flush();
        }
    }

    private static void start(Runnable work, String name) {
        Thread thread = new Thread(work, name);
        thread.setDaemon(true);
        thread.start();
    }

    @Override
    public void close() throws IOException {
        server.close();
        dropConnections();
    }
}
