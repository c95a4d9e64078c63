package oilbird.alarm.transformer.gas;

import java.util.List;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.Why;

/** What one method says about one sample. */
public sealed interface MethodAnswer {
    Method method();

    /**
     * The sample falls in a zone or row.
     *
     * @param label the zone or row as the source names it; rows that overlap are joined by a slash.
     * @param faults the classes of IEC 60599 that remain: one when resolved, more when rows overlap, none
     *     when the zone is none of the six.
     */
    record Told(Method method, String label, List<Fault> faults, List<Remark> remarks) implements MethodAnswer {
        public Told {
            faults = List.copyOf(faults);
            remarks = List.copyOf(remarks);
        }
    }

    /** The method applies, but no row fits: common for ratio tables, and an answer of its own. */
    record NoRow(Method method, String ratios, List<Remark> remarks) implements MethodAnswer {
        public NoRow {
            remarks = List.copyOf(remarks);
        }
    }

    /** The method may not be used on this sample. */
    record Untold(Method method, Why why, String detail) implements MethodAnswer {}

    /** The classes that remain; empty when there is no answer. */
    default List<Fault> possibleFaults() {
        return this instanceof Told told ? told.faults() : List.of();
    }

    /** The zone or row, {@code none} when no row fits, {@code -} when the method may not be used. */
    default String shortLabel() {
        if (this instanceof Told told) {
            return told.label();
        }
        return this instanceof NoRow ? "none" : "-";
    }
}
