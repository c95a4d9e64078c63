package oilbird.gateway.station;

import java.time.Duration;

/** Where a device answers, and by which protocol or transport. */
public sealed interface Endpoint permits ModbusTcpEndpoint, ModbusRtuEndpoint, OpcUaEndpoint {
    /** How long one request may take in all. */
    Duration deadline();
}
