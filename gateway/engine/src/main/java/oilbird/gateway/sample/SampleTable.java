package oilbird.gateway.sample;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.mapping.draft.CommaTable;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;

/**
 * Laboratory samples as a table: comma, semicolon or tab between cells, the names of the columns in the first row
 * ({@code asset, laboratory, sampled-at, reference} and the gases), one row a sample. Read whole or not at all.
 */
public final class SampleTable {
    private static final List<String> NEEDED = List.of("asset", "laboratory", "sampled-at");
    private static final String REFERENCE = "reference";

    private SampleTable() {}

    /**
     * One row.
     *
     * @param reference empty for none.
     */
    public record Row(int line, String asset, GasSample sample, String reference) {}

    /** The samples, or every mistake with its line and column. */
    public static Loaded<List<Row>> read(String fileName, String text) {
        Problems problems = new Problems();
        List<CommaTable.Row> rows = CommaTable.read(fileName, text, problems).rows();
        if (rows.isEmpty()) {
            problems.error(new Position(fileName, 1, 1), "the table is empty", "write the names of the columns first");
            return problems.loaded(null);
        }
        List<String> columns = columns(rows.get(0), problems);
        List<Row> samples = new ArrayList<>();
        if (!problems.refused()) {
            for (CommaTable.Row row : rows.subList(1, rows.size())) {
                read(row, columns, samples, problems);
            }
            if (rows.size() == 1) {
                problems.error(new Position(fileName, 1, 1), "the table has no sample", "write one row a sample");
            }
        }
        return problems.loaded(problems.refused() ? null : List.copyOf(samples));
    }

    private static List<String> columns(CommaTable.Row head, Problems problems) {
        List<String> known = new ArrayList<>(NEEDED);
        known.add(REFERENCE);
        known.addAll(SampleText.GASES);
        return CommaTable.columns(head, known, NEEDED, "sample", problems);
    }

    private static void read(CommaTable.Row row, List<String> columns, List<Row> samples, Problems problems) {
        Position begin = row.cells().get(0).position();
        Map<String, CommaTable.Cell> cells = CommaTable.cells(row, columns, problems);
        if (cells.isEmpty()) {
            return;
        }
        Map<String, String> gases = new LinkedHashMap<>();
        cells.forEach((column, cell) -> {
            if (SampleText.GASES.contains(column)) {
                gases.put(column, cell.text());
            }
        });
        String asset = text(cells, "asset");
        if (asset.isEmpty()) {
            problems.error(begin, "no asset is named", "write its id as in the station file");
        }
        SampleText.read(text(cells, "laboratory"), text(cells, "sampled-at"), gases, (field, what) -> {
                    CommaTable.Cell cell = cells.get(field.equals("sampledAt") ? "sampled-at" : field);
                    int clause = what.indexOf("; ");
                    problems.error(
                            cell == null ? begin : cell.position(),
                            clause < 0 ? what : what.substring(0, clause),
                            clause < 0 ? "correct it" : what.substring(clause + 2));
                })
                .ifPresent(sample -> {
                    for (Row other : samples) {
                        if (other.asset().equals(asset)
                                && other.sample().source().equals(sample.source())
                                && other.sample().at().equals(sample.at())) {
                            problems.error(
                                    begin,
                                    "this sample of that laboratory and time is already in line " + other.line(),
                                    "take one out, or correct the time");
                        }
                    }
                    samples.add(new Row(row.line(), asset, sample, text(cells, REFERENCE)));
                });
    }

    private static String text(Map<String, CommaTable.Cell> cells, String column) {
        CommaTable.Cell cell = cells.get(column);
        return cell == null ? "" : cell.text();
    }
}
