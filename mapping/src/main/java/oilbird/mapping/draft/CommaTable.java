package oilbird.mapping.draft;

import java.util.ArrayList;
import java.util.List;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;

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
