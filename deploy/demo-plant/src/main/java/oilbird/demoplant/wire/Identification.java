package oilbird.demoplant.wire;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.util.List;
import oilbird.demoplant.device.Nameplate;

/**
 * Answers function 43 (2B hex), MEI type 14: read device identification, basic objects by stream only.
 *
 * @see <a href="https://modbus.org/docs/Modbus_Application_Protocol_V1_1b3.pdf">MODBUS Application Protocol V1.1b3,
 *     6.21</a>
 */
final class Identification {
    static final int FUNCTION = 0x2B;

    private static final int MEI_TYPE = 0x0E;
    private static final int BASIC_BY_STREAM = 0x01;
    private static final int INDIVIDUAL = 0x04;
    private static final int ILLEGAL_FUNCTION = 0x01;
    private static final int ILLEGAL_VALUE = 0x03;
    private static final int LONGEST_PDU = 253;

    private final List<String> objects;

    Identification(Nameplate nameplate) {
        objects = List.of(nameplate.vendor(), nameplate.product(), nameplate.revision());
        if (objects.stream().mapToInt(object -> object.length() + 2).sum() + 7 > LONGEST_PDU) {
            throw new IllegalArgumentException("the basic objects do not fit in one answer");
        }
    }

    /** The answer to a request for function 43, both from the function code on. */
    byte[] answer(byte[] request) {
        if (request.length != 4 || request[1] != MEI_TYPE) {
            return exception(ILLEGAL_FUNCTION);
        }
        int code = request[2];
        // A demand above our level is answered at our level; one object alone would be another level of its own.
        if (code < BASIC_BY_STREAM || code >= INDIVIDUAL) {
            return exception(ILLEGAL_VALUE);
        }
        int asked = request[3] & 0xFF;
        int first = asked < objects.size() ? asked : 0;
        ByteArrayOutputStream answer = new ByteArrayOutputStream();
        answer.write(FUNCTION);
        answer.write(MEI_TYPE);
        answer.write(code);
        answer.write(BASIC_BY_STREAM);
        answer.write(0); // nothing more follows
        answer.write(0); // no next object
        answer.write(objects.size() - first);
        for (int id = first; id < objects.size(); id++) {
            byte[] text = objects.get(id).getBytes(StandardCharsets.US_ASCII);
            answer.write(id);
            answer.write(text.length);
            answer.writeBytes(text);
        }
        return answer.toByteArray();
    }

    private static byte[] exception(int code) {
        return new byte[] {(byte) (FUNCTION | 0x80), (byte) code};
    }
}
