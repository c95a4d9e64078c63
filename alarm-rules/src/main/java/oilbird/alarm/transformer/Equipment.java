package oilbird.alarm.transformer;

/** What the oil is in; IEC 60599 has limits of its own for instrument transformers and bushings. */
public enum Equipment {
    POWER_TRANSFORMER,
    CURRENT_TRANSFORMER,
    VOLTAGE_TRANSFORMER,
    BUSHING
}
