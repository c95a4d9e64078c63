package oilbird.alarm.transformer.gas;

import java.util.List;

/** A named region of a triangle or pentagon, or a row of a ratio table. */
public enum Zone {
    PD("partial discharge", Fault.PD),
    D1("discharge of low energy", Fault.D1),
    D2("discharge of high energy", Fault.D2),
    DT("discharge and thermal fault together"),
    T1("thermal fault below 300 C", Fault.T1),
    T2("thermal fault of 300 to 700 C", Fault.T2),
    T3("thermal fault above 700 C", Fault.T3),
    T3_H("thermal fault above 700 C in oil only", Fault.T3),
    S("stray gassing of oil below 200 C"),
    O("overheating below 250 C"),
    C("hot spot with possible carbonisation of paper"),
    ND("not determined by this figure"),
    /** All gases are zero, or a disputed reading leaves this part of the figure without a zone. */
    NONE("no zone");

    private final String words;
    private final List<Fault> faults;

    Zone(String words, Fault... faults) {
        this.words = words;
        this.faults = List.of(faults);
    }

    public String words() {
        return words;
    }

    /** The IEC 60599 class that the zone stands for; empty for a zone that is none of the six. */
    public List<Fault> faults() {
        return faults;
    }
}
