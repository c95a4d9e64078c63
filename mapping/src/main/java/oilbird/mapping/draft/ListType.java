package oilbird.mapping.draft;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * What a point list's words for a type mean in a map.
 *
 * @param written the map's word.
 * @param registers of one value; 0 for a bit, and for a text, whose length is stated.
 */
record ListType(String written, int registers) {
    private static final Map<String, ListType> NAMES = names();

    private static Map<String, ListType> names() {
        Map<String, ListType> names = new LinkedHashMap<>();
        add(names, "bit", 0, "bit", "bool", "boolean", "binary", "digital", "contact", "flag");
        add(
                names,
                "uint16",
                1,
                "uint16",
                "u16",
                "uint",
                "unsigned",
                "word",
                "unsigned16",
                "unsignedint",
                "unsignedinteger",
                "ushort",
                "uint16t",
                "unsignedint16",
                "unsignedshort",
                "enum",
                "bitfield",
                "bitmask",
                "bitmap",
                "flags");
        add(
                names,
                "int16",
                1,
                "int16",
                "i16",
                "s16",
                "int",
                "integer",
                "short",
                "signed",
                "signed16",
                "sint16",
                "int16t",
                "signedint16",
                "signedint",
                "signedinteger");
        add(
                names,
                "uint32",
                2,
                "uint32",
                "u32",
                "udint",
                "dword",
                "ulong",
                "unsigned32",
                "unsignedlong",
                "uint32t",
                "unsignedint32",
                "counter",
                "counter32");
        add(names, "int32", 2, "int32", "i32", "s32", "dint", "long", "signed32", "sint32", "int32t", "signedint32");
        add(names, "uint64", 4, "uint64", "u64", "unsigned64", "ulint", "uint64t");
        add(names, "int64", 4, "int64", "i64", "s64", "lint", "signed64", "int64t");
        add(
                names,
                "float32",
                2,
                "float32",
                "float",
                "f32",
                "real",
                "single",
                "ieee754",
                "floatingpoint",
                "real32",
                "float4");
        add(names, "float64", 4, "float64", "double", "f64", "lreal", "real64", "float8");
        add(names, "bcd16", 1, "bcd16", "bcd", "bcd4");
        add(names, "bcd32", 2, "bcd32", "bcd8");
        add(names, "text", 0, "text", "string", "ascii", "char", "chars", "characters", "str");
        add(names, "unix-seconds", 2, "unixseconds", "unixtime", "epoch", "timestamp", "unixtimestamp");
        add(names, "unix-milliseconds", 4, "unixmilliseconds", "unixmillis", "unixms", "epochmilliseconds", "epochms");
        add(names, "cp56time2a", 4, "cp56time2a", "cp56time", "cp56");
        return names;
    }

    private static void add(Map<String, ListType> to, String written, int registers, String... spellings) {
        ListType type = new ListType(written, registers);
        for (String spelling : List.of(spellings)) {
            to.put(spelling, type);
        }
    }

    /** Null where the words are not known. */
    static @Nullable ListType of(String words) {
        String plain = words.toLowerCase(Locale.ROOT)
                .replaceAll("\\(.*?\\)|\\[.*?\\]", "")
                .replaceAll("[^a-z0-9]", "")
                .replaceAll("bits?$", "");
        ListType type = NAMES.get(plain.isEmpty() && !words.isBlank() ? "bit" : plain);
        return type == null ? NAMES.get(plain.replaceAll("[0-9]+$", "")) : type;
    }

    boolean isBit() {
        return written.equals("bit");
    }

    /** True for a date and time, which has no unit and no range. */
    boolean isTime() {
        return written.startsWith("unix-") || written.equals("cp56time2a");
    }

    boolean isText() {
        return written.equals("text");
    }
}
