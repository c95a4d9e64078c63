package oilbird.gateway.modbus;

import java.util.Map;
import java.util.TreeMap;

/** What became of one request. */
public sealed interface Outcome {

    /**
     * The answer to {@link ReadRequest.Cells}.
     *
     * @param values one a cell in address order; 0 to 65535 for a register, 0 or 1 for a bit.
     */
    @SuppressWarnings("ArrayRecordComponent") // handed on within this module, never compared
    record Cells(int[] values) implements Outcome {}

    /**
     * The answer to {@link ReadRequest.DeviceIdentification}.
     *
     * @param objects text of each object id.
     * @param moreFollows true when further objects need another request.
     * @param nextObject object id for that request.
     */
    record Objects(Map<Integer, String> objects, boolean moreFollows, int nextObject) implements Outcome {
        public Objects {
            objects = new TreeMap<>(objects);
        }
    }

    /**
     * An exception answer; the connection stays usable.
     *
     * @param code as received, 0 to 255.
     */
    record Refused(int code) implements Outcome {
        public ExceptionCode exception() {
            return ExceptionCode.of(code);
        }

        /** For example {@code exception 02, illegal data address}. */
        public String detail() {
            return String.format("exception %02X, %s", code, exception().words());
        }
    }

    /**
     * No valid answer; the connection is closed.
     *
     * @param particulars what was found, for the engineer; may be empty.
     */
    record Failed(Fault fault, String particulars) implements Outcome {
        /** For example {@code answer for another transaction id (7, not 8)}. */
        public String detail() {
            return particulars.isEmpty() ? fault.words() : fault.words() + " (" + particulars + ")";
        }
    }
}
