package oilbird.alarm.transformer;

/** Why something about a transformer cannot be told. */
public enum Why {
    FLUID_UNKNOWN("the insulating liquid is not stated"),
    FLUID_NOT_COVERED("the method is for mineral oil"),
    EQUIPMENT_NOT_COVERED("the method is for power transformers"),
    COMPOSITE_SENSOR("a composite-gas sensor tells no gas apart"),
    NOT_MEASURED("the sensor does not measure this gas"),
    MISSING_VALUE("a needed value is missing"),
    NEGATIVE_VALUE("a value is below zero by more than the detection limit"),
    NOT_A_NUMBER("a value is not a finite number"),
    IMPOSSIBLE_VALUE("a value is physically impossible"),
    SATURATED("a gas is above the range of its sensor"),
    UNIT_UNKNOWN("a value has no stated unit"),
    UNIT_NOT_CONVERTIBLE("a unit cannot be turned into a volume fraction"),
    CONTRADICTING_VALUES("two different values are given for one time"),
    ALL_ZERO("no gas is above its detection limit"),
    SINGLE_GAS("only one gas is above its detection limit"),
    DEGENERATE("the plotted point hangs on traces beside one dominating gas"),
    NOT_ITS_TURN("an earlier step of the procedure leads elsewhere"),
    BELOW_APPLICABILITY("the concentrations are too low for this method"),
    NOTHING_ABOVE_TYPICAL("no gas is above its typical value, so ratios mean little"),
    NOT_CLEAR("no single fault is likely enough"),
    TOO_FEW_SAMPLES("there are too few samples"),
    SPAN_TOO_SHORT("the samples cover too short a time"),
    OTHER_SOURCE("the two samples come from different analysers"),
    OUTSIDE_VALIDITY("an input lies outside the limits of validity"),
    HISTORY_UNKNOWN("load or ambient temperature was not known for long enough");

    private final String sentence;

    Why(String sentence) {
        this.sentence = sentence;
    }

    /** Plain words for the reason, without a full stop. */
    public String sentence() {
        return sentence;
    }
}
