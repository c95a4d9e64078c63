package oilbird.gateway.station;

import java.time.Duration;
import oilbird.mapping.address.ReadBlock;

/**
 * Where a device answers on a Modbus serial line.
 *
 * @param unit 1 to 247; 0 is the broadcast address, which is never sent to.
 * @param deadline how long one request may take in all, the time on the wires included.
 * @param gap silence kept on the line before a request to this unit; never less than the line's own.
 * @param turnaround time that is left to this unit after its answer before anything else is sent, since some drive
 *     the wires a little longer.
 * @param answersAfter time from the end of a request until the unit begins to answer, for the load of the line only;
 *     an estimate.
 */
public record ModbusRtuEndpoint(
        SerialLine line, int unit, Duration deadline, Duration gap, Duration turnaround, Duration answersAfter)
        implements Endpoint {
    /** Unit, function, address, count and CRC: MODBUS Application Protocol V1.1b3, 6.1 to 6.4. */
    private static final int REQUEST_BYTES = 8;
    /** Unit, function, byte count and CRC around the data. */
    private static final int ANSWER_BYTES = 5;

    /** Time that the characters of one request and its answer are on the wires, and nothing else. */
    public Duration onTheWires(ReadBlock block) {
        int data = block.table().bits() ? (block.count() + 7) / 8 : 2 * block.count();
        return line.characters(REQUEST_BYTES + ANSWER_BYTES + data);
    }

    /** Time from the first character of a request to the last of its answer. */
    Duration answeredWithin(ReadBlock block) {
        return onTheWires(block).plus(answersAfter);
    }

    /** Time that one request takes of the line: on the wires, until the unit answers, and the silences around. */
    public Duration takes(ReadBlock block) {
        Duration silence = gap.compareTo(line.frameGap()) > 0 ? gap : line.frameGap();
        return answeredWithin(block).plus(silence).plus(turnaround);
    }
}
