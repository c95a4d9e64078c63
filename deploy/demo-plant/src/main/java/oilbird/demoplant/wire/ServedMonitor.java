package oilbird.demoplant.wire;

import java.util.function.LongFunction;
import java.util.function.LongSupplier;
import oilbird.demoplant.course.Answering;
import oilbird.demoplant.device.DeviceImage;
import oilbird.demoplant.device.Monitor;
import oilbird.demoplant.device.Nameplate;
import oilbird.demoplant.wire.Behaviour.Kind;

/** One monitor as its server sees it now: its tables, its nameplate, and how it treats its clients. */
public final class ServedMonitor {
    private static final int TARGET_FAILED_TO_RESPOND = 0x0B;

    private final Monitor monitor;
    private final LongSupplier now;
    private final LongFunction<Answering> answering;
    private volatile Behaviour commanded = Behaviour.NORMAL;

    /**
     * @param now plant time, milliseconds
     * @param answering whether the monitor answers at a plant time
     */
    public ServedMonitor(Monitor monitor, LongSupplier now, LongFunction<Answering> answering) {
        this.monitor = monitor;
        this.now = now;
        this.answering = answering;
    }

    public Monitor monitor() {
        return monitor;
    }

    /** Plant time, milliseconds. */
    public long now() {
        return now.getAsLong();
    }

    DeviceImage image() {
        return monitor.image(now());
    }

    Nameplate nameplate() {
        return monitor.nameplate(now());
    }

    /** What a command asks for; {@link Behaviour#NORMAL} leaves it to the plant's own course. */
    void command(Behaviour behaviour) {
        commanded = behaviour;
    }

    /** How clients are treated now. */
    public Behaviour behaviour() {
        Behaviour command = commanded;
        if (command.kind() != Kind.NORMAL) {
            return command;
        }
        return switch (answering.apply(now())) {
            case ANSWERS -> Behaviour.NORMAL;
            case SILENT -> new Behaviour(Kind.SILENT, 0);
            case REFUSES -> new Behaviour(Kind.REFUSE, 0);
            case TARGET_FAILED -> new Behaviour(Kind.EXCEPTION, TARGET_FAILED_TO_RESPOND);
        };
    }
}
