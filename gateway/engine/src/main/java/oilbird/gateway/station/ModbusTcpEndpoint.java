package oilbird.gateway.station;

import java.time.Duration;

/**
 * Where a device answers on Modbus TCP.
 *
 * @param port TCP port, 1 to 65535.
 * @param unit unit id, 0 to 255.
 * @param deadline how long one request may take in all.
 */
public record ModbusTcpEndpoint(String host, int port, int unit, Duration deadline) {}
