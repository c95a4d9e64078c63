package oilbird.demoplant.room;

import io.moquette.broker.Server;
import io.moquette.broker.config.IConfig;
import io.moquette.broker.config.MemoryConfig;
import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.util.Properties;
import java.util.logging.Level;
import java.util.logging.Logger;
import oilbird.demoplant.wire.PortTaken;

/** An MQTT broker on loopback that asks nobody's name, writes nothing to disk and reports to no one. */
public final class Broker implements AutoCloseable {
    // Held here, because the logging system itself would forget a logger nobody holds.
    private static final Logger LOGGER = Logger.getLogger("io.moquette");
    private static final Logger LISTENER_LOGGER = Logger.getLogger("io.moquette.broker.NewNettyAcceptor");

    private static final int ATTEMPTS = 5;
    private static final int LARGEST_MESSAGE = 1 << 20;

    private final Server server;

    private final int port;

    private Broker(Server server, int port) {
        this.server = server;
        this.port = port;
    }

    /** @param port 0 for any free one */
    public static Broker start(int port) throws PortTaken {
        if (port != 0) {
            return startOn(port);
        }
        // The broker's own choice of a port cannot be read safely: it is kept in a map that two threads share
        // unguarded.
        for (int attempt = 1; ; attempt++) {
            try {
                return startOn(freePort());
            } catch (PortTaken takenMeanwhile) {
                if (attempt == ATTEMPTS) {
                    throw takenMeanwhile;
                }
            }
        }
    }

    private static int freePort() throws PortTaken {
        try (ServerSocket socket = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            return socket.getLocalPort();
        } catch (IOException failure) {
            throw new PortTaken("mqtt", 0, failure);
        }
    }

    private static Broker startOn(int port) throws PortTaken {
        LOGGER.setLevel(Level.WARNING);
        LISTENER_LOGGER.setLevel(Level.OFF); // a taken port is told once, in our words
        Properties properties = new Properties();
        properties.setProperty(IConfig.HOST_PROPERTY_NAME, "127.0.0.1");
        properties.setProperty(IConfig.PORT_PROPERTY_NAME, Integer.toString(port));
        properties.setProperty(IConfig.ALLOW_ANONYMOUS_PROPERTY_NAME, "true");
        properties.setProperty(IConfig.PERSISTENCE_ENABLED_PROPERTY_NAME, "false");
        properties.setProperty(IConfig.ENABLE_TELEMETRY_NAME, "false");
        // An explained alarm is longer than the broker's own limit of 8 KiB.
        properties.setProperty(IConfig.NETTY_MAX_BYTES_PROPERTY_NAME, Integer.toString(LARGEST_MESSAGE));
        Server server = new Server();
        try {
            server.startServer(new MemoryConfig(properties));
        } catch (IOException | RuntimeException failure) {
            throw new PortTaken("mqtt", port, failure);
        }
        return new Broker(server, port);
    }

    public int port() {
        return port;
    }

    @Override
    public void close() {
        server.stopServer();
    }
}
