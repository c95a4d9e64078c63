package oilbird.gateway.station;

import java.time.Duration;

/** Where a device answers, and by which transport. */
public sealed interface Endpoint permits ModbusTcpEndpoint, ModbusRtuEndpoint {
    /** How long one request may take in all. */
    Duration deadline();
}
