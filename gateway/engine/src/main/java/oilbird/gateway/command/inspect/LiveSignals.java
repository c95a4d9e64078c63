package oilbird.gateway.command.inspect;

import java.util.List;

/** What a device says now, to be compared with its local display. */
public interface LiveSignals {
    /** One line a signal that a display may show; read anew each time. */
    List<Line> comparable();

    /**
     * What one signal says.
     *
     * @param name as in the map.
     * @param text one line for people, without the name.
     * @param usable false where there is nothing to compare with a display.
     */
    record Line(String name, String text, boolean usable, boolean verified) {}
}
