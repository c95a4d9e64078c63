package oilbird.mapping.signal;

import java.util.List;

/**
 * Kind of circuit or thing that a check is about, with the cautions that go with it. A caution counts from its own
 * lowest exposure on.
 */
public enum Circuit {
    NONE(List.of(), false),
    /** Supply with alternating current. */
    AC_SUPPLY(List.of(Caution.S03, Caution.S20), false),
    /** Auxiliary supply from the station battery. */
    DC_SUPPLY(List.of(Caution.S03, Caution.S20, Caution.S23), false),
    /** Extra-low voltage inside a device. */
    INTERNAL_SUPPLY(List.of(Caution.S03, Caution.S17, Caution.S20), false),
    /** 4-20 mA loops. */
    CURRENT_LOOP(List.of(Caution.S18), true),
    /** RS-485 lines and network cables. */
    DATA_LINE(List.of(Caution.S18), false),
    CURRENT_TRANSFORMER(List.of(Caution.S05), true),
    VOLTAGE_TRANSFORMER(List.of(Caution.S06), false),
    BUSHING_TAP(List.of(Caution.S14), true),
    CORE_EARTH(List.of(Caution.S15), true),
    TRIP_CONTACT(List.of(Caution.S19), false),
    /** Boards, cards and small-signal sensors. */
    BOARD(List.of(Caution.S17), false),
    FAN(List.of(Caution.S07), false),
    PUMP(List.of(Caution.S08), false),
    OIL_VALVE(List.of(Caution.S09), false),
    OIL_SAMPLING(List.of(Caution.S09, Caution.S10, Caution.S31), false),
    TAP_CHANGER_DRIVE(List.of(Caution.S16), false),
    HEATER(List.of(Caution.S22), false),
    GAS_CYLINDER(List.of(Caution.S26), false),
    OPTICAL_FIBRE(List.of(Caution.S27), false),
    GAS_RELAY(List.of(Caution.S11), false),
    PRESSURE_RELIEF(List.of(Caution.S13), false);

    private final List<Caution> cautions;
    private final boolean neverOpenedInService;

    Circuit(List<Caution> cautions, boolean neverOpenedInService) {
        this.cautions = cautions;
        this.neverOpenedInService = neverOpenedInService;
    }

    /** Cautions that go with it. */
    public List<Caution> cautions() {
        return cautions;
    }

    /** Those of its cautions that count at an exposure. */
    public List<Caution> cautionsAt(int exposure) {
        return cautions.stream().filter(c -> c.minExposure() <= exposure).toList();
    }

    /** True where opening it while the asset is in service kills, trips or destroys. */
    public boolean neverOpenedInService() {
        return neverOpenedInService;
    }
}
