package oilbird.gateway.engine.poll;

/**
 * Something that an integrator or engineer should be told once, not at every poll.
 *
 * @param number of the log line, 2100 to 2199 of Modbus, 2200 to 2299 of OPC UA.
 * @param device device id, or {@code host:port} where it concerns a whole connection.
 * @param text one sentence without the number and the device.
 */
public record Notice(int number, String device, String text) {
    /** As it stands in the log: {@code GW-2103 device pump-3 is unreachable: connection refused}. */
    @Override
    public String toString() {
        return "GW-" + number + " " + device + ": " + text;
    }
}
