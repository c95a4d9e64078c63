package oilbird.demoplant.device;

/**
 * What an OPC UA variable of a monitor holds at one time.
 *
 * @param value a {@link Double}, a {@link Long} for UInt32, or a {@link String}
 * @param statusCode OPC UA status code as its 32 bits, 0 is Good
 * @param sourceMillis source time: when the monitor made the value, milliseconds since 1970-01-01 UTC by its own clock
 */
public record NodeValue(Object value, long statusCode, long sourceMillis) {}
