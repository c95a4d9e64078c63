package oilbird.mapping.draft;

import java.util.List;
import java.util.Locale;
import org.jspecify.annotations.Nullable;

/** What a column of a point list may tell, with the headings that makers give it (common practice). */
enum ListColumn {
    ADDRESS("address", "addr", "register", "reg", "register address", "modbus address", "start address", "reg address"),
    TABLE(
            "table",
            "register type",
            "area",
            "object type",
            "function",
            "function code",
            "fc",
            "modbus function",
            "kind"),
    BIT("bit", "bit no", "bit number", "bits"),
    NAME("name", "signal", "parameter", "tag", "point", "variable", "signal name", "short name"),
    TEXT("description", "meaning", "text", "designation", "long name"),
    TYPE("type", "data type", "format", "datatype", "data format", "coding"),
    ORDER("order", "word order", "byte order", "endianness", "register order"),
    LENGTH("length", "size", "count", "registers", "no of registers", "number of registers", "quantity", "words"),
    SCALE("scale", "factor", "multiplier", "resolution", "scaling", "scale factor", "gain"),
    OFFSET("offset", "zero offset"),
    UNIT("unit", "units", "engineering unit", "eng unit"),
    LOW("min", "minimum", "low", "lower limit"),
    HIGH("max", "maximum", "high", "upper limit"),
    RANGE("range", "measuring range", "value range"),
    NO_VALUE("no value", "invalid", "invalid value", "error value", "not available", "fault value", "undefined"),
    ACCESS("access", "r w", "rw", "read write"),
    REMARK("remark", "remarks", "comment", "comments", "note", "notes");

    private final List<String> headings;

    ListColumn(String... headings) {
        this.headings = List.of(headings);
    }

    /** Null for a heading that is not known. */
    static @Nullable ListColumn of(String heading) {
        String plain = heading.replaceAll("\\(.*?\\)|\\[.*?\\]", " ")
                .replaceAll("[^A-Za-z0-9]+", " ")
                .strip()
                .toLowerCase(Locale.ROOT);
        for (ListColumn column : values()) {
            if (column.headings.contains(plain)) {
                return column;
            }
        }
        return null;
    }
}
