package oilbird.mapping.draft;

import java.util.List;
import oilbird.mapping.address.NodeName;
import org.jspecify.annotations.Nullable;

/**
 * A variable that was found while walking an OPC UA server.
 *
 * @param path browse names from the folder Objects down to it.
 * @param text its display name, or its description where that says more.
 * @param kind what its value is made of.
 * @param type name of its data type, for remarks.
 * @param scalar false for an array.
 * @param readable whether it may be read by the user who walks.
 * @param unit as the server gives it; null where it gives none.
 * @param low lowest value of its EURange (OPC UA Part 8, 5.3.2.3); null where it has none.
 * @param high highest value of its EURange.
 */
public record FoundVariable(
        List<String> path,
        NodeName name,
        String text,
        Kind kind,
        String type,
        boolean scalar,
        boolean readable,
        @Nullable String unit,
        @Nullable Double low,
        @Nullable Double high) {
    /** What a map can make of a value. */
    public enum Kind {
        TRUTH,
        WHOLE,
        REAL,
        TEXT,
        TIME,
        ENUMERATION,
        OTHER
    }

    public FoundVariable {
        path = List.copyOf(path);
    }
}
