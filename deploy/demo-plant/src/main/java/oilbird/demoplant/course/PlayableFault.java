package oilbird.demoplant.course;

/**
 * A fault that the plant can play.
 *
 * @param name its name
 * @param befalls what it can befall
 * @param text what has happened, a plain clause that goes on from "at gas-t1:"
 */
public record PlayableFault(String name, Befalls befalls, String text) {
    /** What a fault can befall. */
    public enum Befalls {
        GAS_MONITOR,
        COOLING_CONTROL,
        MOISTURE_PROBE,
        BUSHING_MONITOR,
        TAP_CHANGER_MONITOR,
        ANY_DEVICE,
        TRANSFORMER,
        /** A supply, switch, line or gateway of several devices. */
        SHARED,
        WEATHER
    }
}
