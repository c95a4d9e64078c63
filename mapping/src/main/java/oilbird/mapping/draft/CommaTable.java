package oilbird.mapping.draft;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.Suggestion;

/**
 * A table of comma-separated values (RFC 4180); semicolons and tabs are recognised as separators too.
 *
 * @param rows the rows that are not empty, in file order.
 */
public record CommaTable(List<Row> rows) {
    private static final int LONGEST_FILE = 1 << 20;
    private static final int MOST_ROWS = 20_000;

    /** Cells without surrounding blanks. */
    public record Row(int line, List<Cell> cells) {
        boolean isEmpty() {
            return cells.stream().allMatch(c -> c.text().isEmpty());
        }
    }

    /** A value and where it begins. */
    public record Cell(String text, Position position) {}

    public CommaTable {
        rows = List.copyOf(rows);
    }

    public static CommaTable read(String fileName, String text, Problems problems) {
        if (text.length() > LONGEST_FILE) {
            problems.error(new Position(fileName, 1, 1), "the list is too long", "split it");
            return new CommaTable(List.of());
        }
        String content = text.startsWith("\uFEFF") ? text.substring(1) : text;
        char separator = separator(content);
        List<Row> rows = new ArrayList<>();
        List<Cell> cells = new ArrayList<>();
        StringBuilder cell = new StringBuilder();
        int line = 1;
        int column = 1;
        int rowLine = 1;
        Position begin = new Position(fileName, 1, 1);
        boolean quoted = false;
        for (int i = 0; i <= content.length(); i++) {
            char c = i < content.length() ? content.charAt(i) : '\n';
            boolean end = i == content.length();
            if (quoted && !end) {
                if (c == '"' && i + 1 < content.length() && content.charAt(i + 1) == '"') {
                    cell.append('"');
                    i++;
                    column++;
                } else if (c == '"') {
                    quoted = false;
                } else {
                    cell.append(c);
                }
            } else if (c == '"' && cell.toString().isBlank()) {
                quoted = true;
                cell.setLength(0);
            } else if (c == separator || c == '\n') {
                cells.add(new Cell(cell.toString().strip(), begin));
                cell.setLength(0);
                if (c == '\n') {
                    Row row = new Row(rowLine, List.copyOf(cells));
                    if (!row.isEmpty()) {
                        rows.add(row);
                    }
                    cells.clear();
                    rowLine = line + 1;
                }
                begin = c == '\n' ? new Position(fileName, line + 1, 1) : new Position(fileName, line, column + 1);
            } else if (c != '\r') {
                cell.append(c);
            }
            column++;
            if (c == '\n') {
                line++;
                column = 1;
            }
        }
        if (quoted) {
            problems.error(begin, "the quote that begins here is never closed", "close it");
        }
        if (rows.size() > MOST_ROWS) {
            problems.error(new Position(fileName, 1, 1), "the list has more than " + MOST_ROWS + " rows", "split it");
            return new CommaTable(List.of());
        }
        return new CommaTable(rows);
    }

    /**
     * The names of the columns in a table's first row, in lower case and with hyphens.
     *
     * @param known all names that there are.
     * @param needed those that must be there.
     * @param each what a row is about, for words.
     */
    public static List<String> columns(
            Row head, List<String> known, List<String> needed, String each, Problems problems) {
        List<String> columns = new ArrayList<>();
        for (Cell cell : head.cells()) {
            String name = cell.text().toLowerCase(Locale.ROOT).replace(' ', '-').replace('_', '-');
            if (!known.contains(name)) {
                problems.error(
                        cell.position(),
                        "there is no column `" + cell.text() + "`",
                        Suggestion.closest(name, known)
                                .map(near -> "did you mean " + near + "?")
                                .orElse("the columns are " + String.join(", ", known)));
            } else if (columns.contains(name)) {
                problems.error(cell.position(), "the column `" + name + "` is there twice", "take one out");
            }
            columns.add(name);
        }
        for (String name : needed) {
            if (!columns.contains(name)) {
                problems.error(
                        new Position(head.cells().get(0).position().file(), head.line(), 1),
                        "the column `" + name + "` is missing",
                        "add it to the first row and to every " + each);
            }
        }
        return columns;
    }

    /** The cells of a row by the names of their columns; empty for a row that is torn, which has then been told. */
    public static Map<String, Cell> cells(Row row, List<String> columns, Problems problems) {
        Map<String, Cell> cells = new LinkedHashMap<>();
        if (row.cells().size() != columns.size()) {
            problems.error(
                    row.cells().get(0).position(),
                    "the row has " + row.cells().size() + " cells and the table " + columns.size() + " columns",
                    "give every cell its separator, empty ones too; a cell with a separator in it goes in quotes");
            return cells;
        }
        for (int i = 0; i < columns.size(); i++) {
            cells.put(columns.get(i), row.cells().get(i));
        }
        return cells;
    }

    /** The most frequent of the three in the whole text; quoted ones are too few to matter. */
    private static char separator(String text) {
        char best = ',';
        long most = -1;
        for (char candidate : new char[] {';', '\t', ','}) {
            long count = text.chars().filter(c -> c == candidate).count();
            // A list with semicolons or tabs may have a decimal comma in every row.
            long weight = candidate == ',' ? count : 2 * count;
            if (weight > most) {
                most = weight;
                best = candidate;
            }
        }
        return best;
    }
}
