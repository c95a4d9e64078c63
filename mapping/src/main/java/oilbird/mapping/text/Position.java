package oilbird.mapping.text;

/**
 * A place in a file.
 *
 * @param file path as the user would write it, relative to the station folder.
 * @param line 1-based.
 * @param column 1-based.
 */
public record Position(String file, int line, int column) implements Comparable<Position> {
    @Override
    public int compareTo(Position other) {
        int byFile = file.compareTo(other.file);
        if (byFile != 0) {
            return byFile;
        }
        int byLine = Integer.compare(line, other.line);
        return byLine != 0 ? byLine : Integer.compare(column, other.column);
    }

    @Override
    public String toString() {
        return file + ":" + line + ":" + column;
    }
}
