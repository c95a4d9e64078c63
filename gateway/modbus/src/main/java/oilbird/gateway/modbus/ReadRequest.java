package oilbird.gateway.modbus;

import com.ghgande.j2mod.modbus.msg.ModbusRequest;
import com.ghgande.j2mod.modbus.msg.ModbusResponse;
import com.ghgande.j2mod.modbus.msg.ReadCoilsRequest;
import com.ghgande.j2mod.modbus.msg.ReadCoilsResponse;
import com.ghgande.j2mod.modbus.msg.ReadInputDiscretesRequest;
import com.ghgande.j2mod.modbus.msg.ReadInputDiscretesResponse;
import com.ghgande.j2mod.modbus.msg.ReadInputRegistersRequest;
import com.ghgande.j2mod.modbus.msg.ReadInputRegistersResponse;
import com.ghgande.j2mod.modbus.msg.ReadMEIRequest;
import com.ghgande.j2mod.modbus.msg.ReadMEIResponse;
import com.ghgande.j2mod.modbus.msg.ReadMultipleRegistersRequest;
import com.ghgande.j2mod.modbus.msg.ReadMultipleRegistersResponse;
import com.ghgande.j2mod.modbus.util.BitVector;
import com.ghgande.j2mod.modbus.util.ModbusUtil;
import java.io.ByteArrayInputStream;
import java.io.DataInputStream;
import java.io.IOException;
import java.util.Map;
import java.util.TreeMap;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.ReadBlock;
import org.jspecify.annotations.Nullable;

/**
 * The only requests that this module can send: functions 01 to 04 and 43/14. All of them read.
 *
 * <p>MODBUS Application Protocol V1.1b3, 6.1 to 6.4 and 6.21.
 */
public abstract sealed class ReadRequest {
    private static final int EXCEPTION_FLAG = 0x80;

    private final byte[] pdu;

    private ReadRequest(ModbusRequest request, byte[] data) {
        pdu = new byte[1 + data.length];
        pdu[0] = (byte) request.getFunctionCode();
        System.arraycopy(data, 0, pdu, 1, data.length);
    }

    public int functionCode() {
        return pdu[0];
    }

    /** Function code and data, as they follow the unit id on the wire. */
    public byte[] pdu() {
        return pdu.clone();
    }

    int pduLength() {
        return pdu.length;
    }

    void copyPdu(byte[] to, int offset) {
        System.arraycopy(pdu, 0, to, offset, pdu.length);
    }

    /**
     * Finds what is wrong with the beginning of an answer, as soon as enough of it is there.
     *
     * @param bytes holds the answer's PDU from {@code offset}, {@code available} bytes of it so far, at least one.
     * @param length of the whole PDU by the MBAP header's length field.
     * @return null while nothing is wrong.
     */
    final Outcome.@Nullable Failed checkStart(byte[] bytes, int offset, int available, int length) {
        int function = bytes[offset] & 0xFF;
        if (function == (functionCode() | EXCEPTION_FLAG)) {
            return length == 2
                    ? null
                    : new Outcome.Failed(Fault.WRONG_LENGTH, "exception of " + length + " bytes, not 2");
        }
        if (function != functionCode()) {
            return new Outcome.Failed(Fault.WRONG_FUNCTION, function + ", not " + functionCode());
        }
        return checkData(bytes, offset, available, length);
    }

    /**
     * Reads an answer that has come whole and passed {@link #checkStart}.
     *
     * @param offset of the PDU in {@code bytes}.
     */
    final Outcome parse(byte[] bytes, int offset, int length) {
        if ((bytes[offset] & EXCEPTION_FLAG) != 0) {
            return new Outcome.Refused(bytes[offset + 1] & 0xFF);
        }
        return parseData(bytes, offset, length);
    }

    /**
     * Length of the answer's PDU, as far as the answer itself tells it: a serial line has no length field.
     *
     * @param bytes holds the answer's PDU from {@code offset}, {@code available} bytes of it so far, at least one.
     * @return 0 while more bytes are needed to tell.
     */
    final int answerLength(byte[] bytes, int offset, int available) {
        return (bytes[offset] & 0xFF) == (functionCode() | EXCEPTION_FLAG) ? 2 : dataLength(bytes, offset, available);
    }

    abstract int dataLength(byte[] bytes, int offset, int available);

    abstract Outcome.@Nullable Failed checkData(byte[] bytes, int offset, int available, int length);

    abstract Outcome parseData(byte[] bytes, int offset, int length);

    /**
     * The cyclic redundancy check of a serial frame, low byte first (Modbus over serial line V1.02, 6.2.2).
     *
     * @return two bytes, each 0 to 255.
     */
    static int[] checksum(byte[] bytes, int offset, int length) {
        // What the library calls a length is the index behind the last byte.
        return ModbusUtil.calculateCRC(bytes, offset, offset + length);
    }

    private static DataInputStream data(byte[] bytes, int offset, int length) {
        return new DataInputStream(new ByteArrayInputStream(bytes, offset + 1, length - 1));
    }

    /** Reads bits or registers of one table. */
    public static final class Cells extends ReadRequest {
        private final ModbusTable table;
        private final int count;

        /**
         * @param start zero-based PDU address, 0 to 65535.
         * @param count 1 to the table's largest quantity; more is refused here, since a device's answer to it
         *     could not be told from a valid one.
         */
        public Cells(ModbusTable table, int start, int count) {
            this(new ReadBlock("read", table, start, count, ""));
        }

        public Cells(ReadBlock block) {
            this(block, request(block));
        }

        private Cells(ReadBlock block, ModbusRequest request) {
            super(request, request.getMessage());
            table = block.table();
            count = block.count();
        }

        private static ModbusRequest request(ReadBlock block) {
            return switch (block.table()) {
                case COILS -> new ReadCoilsRequest(block.start(), block.count());
                case DISCRETE_INPUTS -> new ReadInputDiscretesRequest(block.start(), block.count());
                case HOLDING_REGISTERS -> new ReadMultipleRegistersRequest(block.start(), block.count());
                case INPUT_REGISTERS -> new ReadInputRegistersRequest(block.start(), block.count());
            };
        }

        private int byteCount() {
            return table.bits() ? (count + 7) / 8 : 2 * count;
        }

        @Override
        int dataLength(byte[] bytes, int offset, int available) {
            return 2 + byteCount();
        }

        @Override
        Outcome.@Nullable Failed checkData(byte[] bytes, int offset, int available, int length) {
            if (available >= 2) {
                int byteCount = bytes[offset + 1] & 0xFF;
                if (byteCount != byteCount()) {
                    return new Outcome.Failed(Fault.WRONG_BYTE_COUNT, byteCount + ", not " + byteCount());
                }
            }
            return length == 2 + byteCount()
                    ? null
                    : new Outcome.Failed(Fault.WRONG_LENGTH, length + " bytes, not " + (2 + byteCount()));
        }

        @Override
        Outcome parseData(byte[] bytes, int offset, int length) {
            ModbusResponse response = ModbusResponse.createModbusResponse(functionCode());
            try {
                response.readData(data(bytes, offset, length));
            } catch (IOException impossible) {
                throw new IllegalStateException("an answer of checked length ends early", impossible);
            }
            int[] values = new int[count];
            if (response instanceof ReadMultipleRegistersResponse registers) {
                for (int i = 0; i < count; i++) {
                    values[i] = registers.getRegisterValue(i);
                }
            } else if (response instanceof ReadInputRegistersResponse registers) {
                for (int i = 0; i < count; i++) {
                    values[i] = registers.getRegisterValue(i);
                }
            } else if (response instanceof ReadCoilsResponse coils) {
                bits(coils.getCoils(), values);
            } else if (response instanceof ReadInputDiscretesResponse inputs) {
                bits(inputs.getDiscretes(), values);
            } else {
                throw new IllegalStateException("no reader for " + response.getClass());
            }
            return new Outcome.Cells(values);
        }

        private static void bits(BitVector from, int[] to) {
            for (int i = 0; i < to.length; i++) {
                to[i] = from.getBit(i) ? 1 : 0;
            }
        }

        @Override
        public String toString() {
            return "read " + count + " of " + table;
        }
    }

    /** Reads what the device says of itself: basic identification as a stream of objects. */
    public static final class DeviceIdentification extends ReadRequest {
        private static final int BASIC = 1;
        private static final int HEADER = 7;

        /**
         * @param firstObject object id to begin with, 0 for the first request.
         */
        public DeviceIdentification(int firstObject) {
            this(new ReadMEIRequest(BASIC, firstObject));
        }

        private DeviceIdentification(ModbusRequest request) {
            super(request, request.getMessage());
        }

        @Override
        int dataLength(byte[] bytes, int offset, int available) {
            if (available < HEADER) {
                return 0;
            }
            int objects = bytes[offset + HEADER - 1] & 0xFF;
            int length = HEADER;
            for (int i = 0; i < objects; i++) {
                if (available < length + 2) {
                    return 0;
                }
                length += 2 + (bytes[offset + length + 1] & 0xFF);
            }
            return length;
        }

        @Override
        Outcome.@Nullable Failed checkData(byte[] bytes, int offset, int available, int length) {
            if (length < HEADER) {
                return new Outcome.Failed(Fault.WRONG_LENGTH, length + " bytes, fewer than " + HEADER);
            }
            if (available >= 2 && bytes[offset + 1] != 0x0E) {
                return new Outcome.Failed(Fault.WRONG_FUNCTION, "43/" + (bytes[offset + 1] & 0xFF) + ", not 43/14");
            }
            return null;
        }

        @Override
        Outcome parseData(byte[] bytes, int offset, int length) {
            ReadMEIResponse response = new ReadMEIResponse();
            DataInputStream data = data(bytes, offset, length);
            try {
                response.readData(data);
                if (data.available() > 0) {
                    return malformed(data.available() + " bytes after the last object");
                }
            } catch (IOException endsEarly) {
                return malformed("it ends inside an object");
            }
            Map<Integer, String> objects = new TreeMap<>();
            for (int i = 0; i < response.getFieldCount(); i++) {
                objects.put(response.getFieldId(i), response.getField(i));
            }
            // The library reads these two bytes and keeps them to itself.
            boolean moreFollows = (bytes[offset + 4] & 0xFF) == 0xFF;
            return new Outcome.Objects(objects, moreFollows, bytes[offset + 5] & 0xFF);
        }

        private static Outcome malformed(String particulars) {
            return new Outcome.Failed(Fault.MALFORMED_IDENTIFICATION, particulars);
        }

        @Override
        public String toString() {
            return "read device identification";
        }
    }
}
