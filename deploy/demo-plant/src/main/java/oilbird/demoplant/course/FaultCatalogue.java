package oilbird.demoplant.course;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import oilbird.demoplant.course.PlayableFault.Befalls;

/** The faults that the plant can play, by what they befall. All of it is invented. */
public final class FaultCatalogue {
    private static final List<PlayableFault> ALL = new ArrayList<>();

    static {
        add(Befalls.GAS_MONITOR, "fan-stopped", "the cabinet fan stands");
        add(Befalls.GAS_MONITOR, "fan-connector-loose", "the cabinet fan stops and starts with its loose plug");
        add(Befalls.GAS_MONITOR, "fan-bearing-worn", "the cabinet fan turns ever slower");
        add(Befalls.GAS_MONITOR, "fan-speed-sensor", "the cabinet fan turns, but its speed signal is gone");
        add(Befalls.GAS_MONITOR, "fan-reversed", "the cabinet fan turns backwards");
        add(Befalls.GAS_MONITOR, "inlet-filter-blocked", "the inlet filter of the cabinet is blocked");
        add(Befalls.GAS_MONITOR, "oil-valve-shut", "the return valve of the oil line is shut");
        add(Befalls.GAS_MONITOR, "sample-pump-stopped", "the circulation pump stands");
        add(Befalls.GAS_MONITOR, "oil-line-blocked", "the oil line becomes blocked");
        add(Befalls.GAS_MONITOR, "oil-cold-thick", "the oil grows thick in the cold");
        add(Befalls.GAS_MONITOR, "air-in-line", "air has come into the oil line");
        add(Befalls.GAS_MONITOR, "oil-line-leak", "the oil line leaks");
        add(Befalls.GAS_MONITOR, "flow-sensor-lost", "the flow signal is gone");
        add(Befalls.GAS_MONITOR, "detection-cell-failed", "the detection cell has failed");
        add(Befalls.GAS_MONITOR, "io-board-failed", "the input and output board has failed");
        add(Befalls.GAS_MONITOR, "detector-drift", "the detector drifts, all gases alike");
        add(Befalls.GAS_MONITOR, "values-frozen", "analyses go on, but the values stand");
        add(Befalls.GAS_MONITOR, "internal-supply-failing", "the internal supply sinks");
        add(Befalls.GAS_MONITOR, "clock-lost", "the clock has lost its time");
        add(Befalls.GAS_MONITOR, "calibration-due", "calibration is due");
        add(Befalls.GAS_MONITOR, "service-visit", "a technician calibrates with calibration gas");
        add(Befalls.GAS_MONITOR, "service-left-on", "service mode was left on");
        add(Befalls.GAS_MONITOR, "restarted", "it restarts");
        add(Befalls.GAS_MONITOR, "firmware-moved-registers", "new firmware has moved its registers by one");
        add(Befalls.GAS_MONITOR, "undocumented-bit", "it sets a bit that is not in its maker's list");
        add(Befalls.COOLING_CONTROL, "fan-group-1-motor", "the motor protection of fan group 1 trips");
        add(Befalls.COOLING_CONTROL, "fan-group-2-motor", "the motor protection of fan group 2 trips");
        add(Befalls.COOLING_CONTROL, "one-fan-of-group-1-dead", "one of the four fans of group 1 stands");
        add(Befalls.COOLING_CONTROL, "fans-reversed", "the fans turn backwards");
        add(Befalls.COOLING_CONTROL, "radiators-dirty", "the radiators grow dirty");
        add(Befalls.COOLING_CONTROL, "fan-control-stuck", "the fans are not switched on although it is hot");
        add(Befalls.COOLING_CONTROL, "left-in-manual", "the cooling was left in manual mode, fans off");
        add(Befalls.COOLING_CONTROL, "pump-motor", "the motor protection of the oil pump trips");
        add(Befalls.COOLING_CONTROL, "pump-valve-shut", "a valve of the pump's line is shut");
        add(Befalls.COOLING_CONTROL, "pump-reversed", "the oil pump turns backwards");
        add(Befalls.COOLING_CONTROL, "supply-a-lost", "supply A is lost");
        add(Befalls.COOLING_CONTROL, "supply-b-lost", "supply B is lost");
        add(Befalls.COOLING_CONTROL, "cooling-supply-lost", "both supplies of the cooling are lost");
        add(Befalls.COOLING_CONTROL, "control-voltage-low", "the control voltage is low");
        add(Befalls.COOLING_CONTROL, "top-oil-sensor-open", "the top oil sensor's wire is open");
        add(Befalls.COOLING_CONTROL, "top-oil-sensor-drift", "the top oil sensor drifts");
        add(Befalls.COOLING_CONTROL, "top-oil-sensor-frozen", "the top oil value stands");
        add(Befalls.COOLING_CONTROL, "winding-input-saturated", "the winding temperature input is saturated");
        add(Befalls.COOLING_CONTROL, "load-input-open", "the load current loop is open");
        add(Befalls.COOLING_CONTROL, "load-input-saturated", "the load current loop is saturated");
        add(Befalls.COOLING_CONTROL, "load-input-low", "the load current converter shows too little");
        add(Befalls.COOLING_CONTROL, "fan-vibration", "a fan shakes");
        add(Befalls.COOLING_CONTROL, "vibration-switch-loose", "the vibration switch chatters");
        add(Befalls.COOLING_CONTROL, "running-contact-broken", "the running contact of fan group 1 is broken");
        add(Befalls.COOLING_CONTROL, "restarted", "it restarts");
        add(Befalls.COOLING_CONTROL, "firmware-moved-registers", "new firmware has moved its registers by one");
        add(Befalls.MOISTURE_PROBE, "moisture-probe-drift", "the moisture sensor drifts");
        add(Befalls.MOISTURE_PROBE, "moisture-probe-frozen", "the moisture value stands");
        add(Befalls.MOISTURE_PROBE, "probe-temperature-drift", "the temperature element drifts");
        add(Befalls.MOISTURE_PROBE, "probe-cable-broken", "the probe's cable is broken");
        add(Befalls.MOISTURE_PROBE, "temperature-element-broken", "the temperature element is broken");
        add(Befalls.MOISTURE_PROBE, "probe-in-air", "the probe is not in oil");
        add(Befalls.MOISTURE_PROBE, "probe-valve-shut", "the probe's valve was left shut, oil stands around it");
        add(Befalls.MOISTURE_PROBE, "refresh-stuck", "the refresh of the probe does not end");
        add(Befalls.MOISTURE_PROBE, "saturation-input-saturated", "the moisture input is saturated");
        add(Befalls.MOISTURE_PROBE, "internal-supply-failing", "the internal supply sinks");
        add(Befalls.MOISTURE_PROBE, "clock-lost", "the clock has lost its time");
        add(Befalls.MOISTURE_PROBE, "service-visit", "a technician works on it");
        add(Befalls.MOISTURE_PROBE, "restarted", "it restarts");
        add(Befalls.BUSHING_MONITOR, "sensor-earth-l1", "the earth of the bushing sensor of phase L1 is faulty");
        add(Befalls.BUSHING_MONITOR, "sensor-cable-l1", "the sensor cable of phase L1 is broken");
        add(Befalls.BUSHING_MONITOR, "current-input-frozen-l1", "the values of phase L1 stand");
        add(Befalls.BUSHING_MONITOR, "sensor-earth-l2", "the earth of the bushing sensor of phase L2 is faulty");
        add(Befalls.BUSHING_MONITOR, "sensor-cable-l2", "the sensor cable of phase L2 is broken");
        add(Befalls.BUSHING_MONITOR, "current-input-frozen-l2", "the values of phase L2 stand");
        add(Befalls.BUSHING_MONITOR, "sensor-earth-l3", "the earth of the bushing sensor of phase L3 is faulty");
        add(Befalls.BUSHING_MONITOR, "sensor-cable-l3", "the sensor cable of phase L3 is broken");
        add(Befalls.BUSHING_MONITOR, "current-input-frozen-l3", "the values of phase L3 stand");
        add(Befalls.BUSHING_MONITOR, "reference-lost", "the reference voltage is lost");
        add(Befalls.BUSHING_MONITOR, "reference-drift", "the reference drifts");
        add(Befalls.BUSHING_MONITOR, "surface-wet", "wet surfaces add losses while it rains");
        add(Befalls.BUSHING_MONITOR, "input-board-failed", "the input board has failed");
        add(Befalls.BUSHING_MONITOR, "internal-supply-failing", "the internal supply sinks");
        add(Befalls.BUSHING_MONITOR, "clock-lost", "the clock has lost its time");
        add(Befalls.BUSHING_MONITOR, "service-visit", "a technician works on it");
        add(Befalls.BUSHING_MONITOR, "restarted", "it restarts");
        add(Befalls.TAP_CHANGER_MONITOR, "drive-brake-worn", "the drive takes ever longer");
        add(Befalls.TAP_CHANGER_MONITOR, "drive-stiff", "the drive grows stiff");
        add(Befalls.TAP_CHANGER_MONITOR, "drive-protection-tripped", "the motor protection of the drive trips");
        add(Befalls.TAP_CHANGER_MONITOR, "drive-supply-lost", "the supply of the drive is lost");
        add(Befalls.TAP_CHANGER_MONITOR, "drive-shaft-broken", "the drive turns freely, its shaft is broken");
        add(Befalls.TAP_CHANGER_MONITOR, "position-sensor-lost", "the position signal is gone");
        add(Befalls.TAP_CHANGER_MONITOR, "hand-crank-left-in", "the hand crank was left in");
        add(Befalls.TAP_CHANGER_MONITOR, "oil-filter-blocked", "the oil filter is blocked");
        add(Befalls.TAP_CHANGER_MONITOR, "selector-sensor-drift", "the temperature sensor of the selector drifts");
        add(Befalls.TAP_CHANGER_MONITOR, "clock-lost", "the clock has lost its time");
        add(Befalls.TAP_CHANGER_MONITOR, "restarted", "it restarts");
        add(Befalls.ANY_DEVICE, "communication-lost", "it no longer answers");
        add(Befalls.ANY_DEVICE, "duplicate-unit-id", "another device answers to the same unit id");
        add(Befalls.TRANSFORMER, "partial-discharge", "partial discharges make hydrogen");
        add(Befalls.TRANSFORMER, "low-energy-discharge", "discharges of low energy make hydrogen and acetylene");
        add(Befalls.TRANSFORMER, "arcing", "an arc burns in the oil");
        add(Befalls.TRANSFORMER, "overheating-below-300", "something in the oil grows hot, below 300 degC");
        add(Befalls.TRANSFORMER, "overheating-300-700", "something in the oil is at 300 to 700 degC");
        add(Befalls.TRANSFORMER, "overheating-above-700", "something in the oil is above 700 degC");
        add(Befalls.TRANSFORMER, "paper-overheating", "paper overheats");
        add(Befalls.TRANSFORMER, "stray-gassing", "the warm oil makes stray gas");
        add(Befalls.TRANSFORMER, "water-ingress", "water comes into the oil");
        add(Befalls.TRANSFORMER, "overload", "the load is a third higher than usual");
        add(Befalls.TRANSFORMER, "tap-change-incomplete", "a tap change stops between two taps");
        add(Befalls.TRANSFORMER, "selector-contacts-hot", "the selector's contacts grow hot");
        add(Befalls.TRANSFORMER, "bushing-layer-breakdown", "layers of the bushing of phase L2 break down");
        add(Befalls.TRANSFORMER, "bushing-moist", "the bushing of phase L3 grows moist");
        add(Befalls.SHARED, "auxiliary-supply-lost", "the auxiliary supply is lost");
        add(Befalls.SHARED, "network-switch-down", "the network switch is down");
        add(Befalls.SHARED, "modbus-gateway-down", "the Modbus gateway is down");
        add(Befalls.SHARED, "serial-line-broken", "the serial line is broken");
        add(Befalls.WEATHER, "cold-spell", "a cold spell sets in");
        add(Befalls.WEATHER, "heat-wave", "a heat wave sets in");
        add(Befalls.WEATHER, "rain", "it rains");
    }

    private FaultCatalogue() {}

    public static List<PlayableFault> all() {
        return List.copyOf(ALL);
    }

    /** The fault of this name that can befall such a thing. */
    public static Optional<PlayableFault> find(String name, Befalls befalls) {
        return ALL.stream()
                .filter(fault -> fault.name().equals(name) && fault.befalls() == befalls)
                .findFirst();
    }

    private static void add(Befalls befalls, String name, String text) {
        ALL.add(new PlayableFault(name, befalls, text));
    }
}
