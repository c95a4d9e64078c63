package oilbird.demoplant.device;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.demoplant.course.Course;

/**
 * A monitor that speaks OPC UA: its readings and its status word stand in variables, each with status code and source
 * time.
 */
public abstract class NodeMonitor extends Monitor {
    /** Status codes by OPC UA Part 8, 6.3.2 and Part 4, 7.39: the upper 16 bits; Good is 0. */
    protected static final long GOOD = 0;

    protected static final long BAD_SENSOR_FAILURE = 0x808C_0000L;
    protected static final long UNCERTAIN_LAST_USABLE_VALUE = 0x4090_0000L;
    protected static final long UNCERTAIN_SENSOR_NOT_ACCURATE = 0x4093_0000L;

    private static final String STATUS = "Unit.Status";
    private static final String COUNTER = "Unit.Measurements";
    private static final long LOST_CLOCK_STARTS_AT = 946_684_800_000L;
    private static final long MINUTE = 60_000;

    private final String namespace;
    private final String serialNumber;

    /**
     * @param name name of the device in the station
     * @param namespace namespace URI of its variables
     */
    protected NodeMonitor(
            String name,
            String namespace,
            String serialNumber,
            Course course,
            List<ReadingForm> readings,
            List<BitForm> bits) {
        super(name, course, readings, bits);
        this.namespace = namespace;
        this.serialNumber = serialNumber;
    }

    /** Namespace URI of its variables. */
    public final String namespace() {
        return namespace;
    }

    @Override
    public final int unit() {
        return 0;
    }

    @Override
    public final int registerCount() {
        return 0;
    }

    @Override
    public final DeviceImage image(long at) {
        return DeviceImage.NONE;
    }

    @Override
    public final Map<String, NodeValue> nodes(long at) {
        Map<String, NodeValue> nodes = new LinkedHashMap<>();
        for (ReadingForm form : readings().values()) {
            if (form.place() instanceof ReadingForm.Node node) {
                double value = value(form.name(), at);
                Object carried = node.counts() ? (Object) Math.round(value) : (Object) value;
                nodes.put(
                        node.id(),
                        new NodeValue(carried, status(form.name(), at), byOwnClock(madeAt(form.name(), at), at)));
            }
        }
        long word = 0;
        for (BitForm bit : bits()) {
            word |= isSet(bit, at) ? 1L << bit.number() : 0;
        }
        nodes.put(STATUS, new NodeValue(word, GOOD, byOwnClock(at - Math.floorMod(at, 1_000), at)));
        nodes.put(COUNTER, new NodeValue(measurements(at) & 0xFFFF_FFFFL, GOOD, byOwnClock(measuredAt(at), at)));
        long started = byOwnClock(0, at);
        nodes.put("Unit.Serial", new NodeValue(serialNumber, GOOD, started));
        nodes.put("Unit.Product", new NodeValue(nameplate(at).product(), GOOD, started));
        nodes.put("Unit.Revision", new NodeValue(nameplate(at).revision(), GOOD, started));
        return nodes;
    }

    /** Status code of a reading. */
    protected abstract long status(String reading, long at);

    /** Plant time at which the reading's value was made. */
    protected abstract long madeAt(String reading, long at);

    /** Plant time of the last measurement. */
    protected abstract long measuredAt(long at);

    /** Measurements finished. */
    protected abstract long measurements(long at);

    /** Whether the self-test after a start still runs. */
    protected final boolean testsItself(long at) {
        long since = course().sinceStart(name(), at);
        return since >= 0 && since < 5 * MINUTE;
    }

    /** Whether its clock does not know the time. */
    protected final boolean clockIsLost(long at) {
        long since = course().sinceStart(name(), at);
        return faults().on("clock-lost", name(), at) || since >= 0 && since < 20 * MINUTE;
    }

    private long byOwnClock(long plantTime, long at) {
        if (!clockIsLost(at)) {
            return course().startMillis() + plantTime;
        }
        long lost = faults().sinceBegin("clock-lost", name(), at);
        long since = lost >= 0 ? lost : course().sinceStart(name(), at);
        return LOST_CLOCK_STARTS_AT + Math.max(0, since - (at - plantTime));
    }
}
