package oilbird.demoplant.device;

import java.util.List;
import java.util.Map;
import oilbird.demoplant.course.Course;

/** A monitor that speaks Modbus: its readings stand in one table of registers. */
public abstract class RegisterMonitor extends Monitor {
    private final int unit;

    /**
     * @param name name of the device in the station
     * @param unit Modbus unit id it answers to
     */
    protected RegisterMonitor(String name, int unit, Course course, List<ReadingForm> readings, List<BitForm> bits) {
        super(name, course, readings, bits);
        this.unit = unit;
    }

    @Override
    public final int unit() {
        return unit;
    }

    @Override
    public final Map<String, NodeValue> nodes(long at) {
        return Map.of();
    }

    @Override
    public final DeviceImage image(long at) {
        RegisterWriter out = new RegisterWriter(registerCount());
        for (ReadingForm form : readings().values()) {
            if (form.place() instanceof ReadingForm.Registers registers) {
                registers.coding().write(out, registers.register(), value(form.name(), at));
            }
        }
        return tables(out, at);
    }

    /** Builds the tables around registers that already carry the readings. */
    protected abstract DeviceImage tables(RegisterWriter registers, long at);
}
