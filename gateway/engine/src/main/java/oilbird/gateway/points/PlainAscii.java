package oilbird.gateway.points;

import java.text.Normalizer;
import java.util.Map;

/** Words in the printable characters of ASCII, which is all that many control rooms show. */
final class PlainAscii {
    private static final Map<Integer, String> WRITTEN = Map.ofEntries(
            Map.entry((int) 'ä', "ae"),
            Map.entry((int) 'ö', "oe"),
            Map.entry((int) 'ü', "ue"),
            Map.entry((int) 'Ä', "Ae"),
            Map.entry((int) 'Ö', "Oe"),
            Map.entry((int) 'Ü', "Ue"),
            Map.entry((int) 'ß', "ss"),
            Map.entry((int) 'æ', "ae"),
            Map.entry((int) 'Æ', "Ae"),
            Map.entry((int) 'ø', "oe"),
            Map.entry((int) 'Ø', "Oe"),
            Map.entry((int) 'ł', "l"),
            Map.entry((int) 'Ł', "L"),
            Map.entry((int) '°', "deg"),
            Map.entry((int) 'µ', "u"),
            Map.entry((int) 'μ', "u"),
            Map.entry((int) 'Ω', "Ohm"),
            Map.entry((int) '–', "-"),
            Map.entry((int) '—', "-"),
            Map.entry((int) '‘', "'"),
            Map.entry((int) '’', "'"),
            Map.entry((int) '“', "\""),
            Map.entry((int) '”', "\""),
            Map.entry((int) '…', "..."),
            Map.entry((int) '×', "x"),
            Map.entry((int) '\u00A0', " "));

    private PlainAscii() {}

    static boolean isPlain(String text) {
        return text.chars().allMatch(c -> c >= ' ' && c <= '~');
    }

    /** The nearest there is; a character without any likeness becomes a question mark. */
    static String of(String text) {
        StringBuilder plain = new StringBuilder();
        Normalizer.normalize(text, Normalizer.Form.NFC).codePoints().forEach(c -> {
            String written = WRITTEN.get(c);
            if (written != null) {
                plain.append(written);
            } else if (c >= ' ' && c <= '~') {
                plain.appendCodePoint(c);
            } else {
                String bare = Normalizer.normalize(Character.toString(c), Normalizer.Form.NFKD)
                        .replaceAll("[^ -~]", "");
                plain.append(bare.isEmpty() ? "?" : bare);
            }
        });
        return plain.toString();
    }
}
