package oilbird.gateway.station;

import java.time.Duration;

/**
 * Where a device answers on Modbus TCP.
 *
 * @param port TCP port, 1 to 65535.
 * @param unit unit id, 0 to 255.
 * @param deadline how long one request may take in all.
 * @param sessions connections that the gateway holds to this host and port at most; devices behind them are spread
 *     over these.
 */
public record ModbusTcpEndpoint(String host, int port, int unit, Duration deadline, int sessions) implements Endpoint {}
