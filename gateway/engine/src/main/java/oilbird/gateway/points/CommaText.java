package oilbird.gateway.points;

import java.util.List;
import java.util.stream.Collectors;

/** Writes comma-separated values (RFC 4180). */
final class CommaText {
    private CommaText() {}

    static String of(List<List<String>> rows) {
        return rows.stream()
                .map(row -> row.stream().map(CommaText::cell).collect(Collectors.joining(",")))
                .collect(Collectors.joining("\n", "", "\n"));
    }

    private static String cell(String text) {
        boolean quoted = text.contains(",")
                || text.contains("\"")
                || text.contains("\n")
                || text.contains(";")
                || !text.equals(text.strip());
        return quoted ? "\"" + text.replace("\"", "\"\"") + "\"" : text;
    }
}
