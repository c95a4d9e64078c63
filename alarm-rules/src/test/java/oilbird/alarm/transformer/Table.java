package oilbird.alarm.transformer;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/** A table of reference figures from the test resources, by column name. */
public final class Table {
    private Table() {}

    /** The rows of a CSV file beside this class, each by the names of the first line. */
    public static List<Map<String, String>> rows(String file) {
        try (InputStream in = Table.class.getResourceAsStream(file)) {
            if (in == null) {
                throw new IllegalStateException("no test resource " + file);
            }
            List<String> lines = new String(in.readAllBytes(), StandardCharsets.UTF_8)
                    .lines()
                    .toList();
            List<String> names = cells(lines.get(0));
            List<Map<String, String>> rows = new ArrayList<>();
            for (String line : lines.subList(1, lines.size())) {
                List<String> cells = cells(line);
                Map<String, String> row = new LinkedHashMap<>();
                for (int i = 0; i < names.size(); i++) {
                    row.put(names.get(i), i < cells.size() ? cells.get(i) : "");
                }
                rows.add(row);
            }
            return rows;
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private static List<String> cells(String line) {
        List<String> cells = new ArrayList<>();
        StringBuilder cell = new StringBuilder();
        boolean quoted = false;
        for (char c : line.toCharArray()) {
            if (c == '"') {
                quoted = !quoted;
            } else if (c == ',' && !quoted) {
                cells.add(cell.toString());
                cell.setLength(0);
            } else {
                cell.append(c);
            }
        }
        cells.add(cell.toString());
        return cells;
    }

    /** A figure of a row. */
    public static double number(Map<String, String> row, String column) {
        return Double.parseDouble(text(row, column));
    }

    /** A cell of a row; a column that does not exist fails the test. */
    public static String text(Map<String, String> row, String column) {
        String cell = row.get(column);
        if (cell == null) {
            throw new IllegalArgumentException("no column " + column);
        }
        return cell;
    }
}
