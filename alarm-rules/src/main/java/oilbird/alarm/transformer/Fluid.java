package oilbird.alarm.transformer;

/** The insulating liquid. Gas limits, triangles 1, 4, 5, pentagons and water limits here are for mineral oil only. */
public enum Fluid {
    MINERAL_OIL,
    NATURAL_ESTER,
    SYNTHETIC_ESTER,
    SILICONE,
    /** Not stated: nothing that depends on the fluid is computed. */
    UNKNOWN
}
