package oilbird.demoplant.room;

import io.moquette.broker.Server;
import io.moquette.broker.config.IConfig;
import io.moquette.broker.config.MemoryConfig;
import java.io.IOException;
import java.util.Properties;
import oilbird.demoplant.wire.PortTaken;

/** An MQTT broker on loopback that asks nobody's name, writes nothing to disk and reports to no one. */
public final class Broker implements AutoCloseable {
    private static final int LARGEST_MESSAGE = 1 << 20;

    private final Server server;

    private Broker(Server server) {
        this.server = server;
    }

    /** @param port 0 for any free one */
    public static Broker start(int port) throws PortTaken {
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
        return new Broker(server);
    }

    public int port() {
        return server.getPort();
    }

    @Override
    public void close() {
        server.stopServer();
    }
}
