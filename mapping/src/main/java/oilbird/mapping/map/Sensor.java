package oilbird.mapping.map;

/** A sensor whose electrical value the device hands on unconverted. */
public enum Sensor {
    /** Platinum resistor of 100 ohm at 0 degC by IEC 60751; the scaled value is its resistance in ohm. */
    PT100
}
