package oilbird.demoplant.device;

import java.util.List;
import java.util.Map;
import oilbird.demoplant.course.Course;

/**
 * A monitor whose tables hold what the examples of the MODBUS Application Protocol Specification V1.1b3 read: inputs
 * 197 to 218 (6.2), holding registers 108 to 110 (6.3), input register 9 (6.4) and the basic identification of 6.21.
 */
public final class SpecificationMonitor extends RegisterMonitor {
    /** 6.2: inputs 204-197 are 1010 1100, 212-205 are 1101 1011, 218-213 are 11 0101. */
    private static final String INPUTS_218_TO_197 = "110101" + "11011011" + "10101100";

    public SpecificationMonitor() {
        super("specification", 0xFF, new Course(1, 0, Map.of()), List.of(), List.of());
    }

    @Override
    public Nameplate nameplate(long at) {
        return new Nameplate("Company identification", "Product code XX", "V2.11");
    }

    @Override
    public int registerCount() {
        return 125;
    }

    @Override
    protected double own(String reading, long at) {
        throw new IllegalArgumentException(reading);
    }

    @Override
    protected boolean sets(BitForm bit, long at) {
        return false;
    }

    @Override
    protected DeviceImage tables(RegisterWriter holding, long at) {
        holding.uint16(107, 0x022B);
        holding.uint16(109, 100);
        RegisterWriter input = new RegisterWriter(9);
        input.uint16(8, 10);
        boolean[] inputs = new boolean[218];
        for (int i = 0; i < INPUTS_218_TO_197.length(); i++) {
            inputs[217 - i] = INPUTS_218_TO_197.charAt(i) == '1';
        }
        return new DeviceImage(input.registers(), holding.registers(), inputs);
    }
}
