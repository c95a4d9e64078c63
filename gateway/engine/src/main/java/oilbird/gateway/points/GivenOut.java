package oilbird.gateway.points;

import java.time.LocalDate;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import oilbird.mapping.draft.CommaTable;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import org.jspecify.annotations.Nullable;

/**
 * Every address that was ever given out under one point list, with what it stands for. An address is never given to
 * anything else: in the control room's displays, archives and operators' heads it keeps its first meaning for years.
 *
 * <p>The file lies beside the list in the station folder, so that it is under version control with it and comes along
 * to a spare gateway; the data folder belongs to one machine. The gateway itself never writes it:
 * {@code oilbird points FOLDER --give-out} does, and what was not given out is refused.
 *
 * @param file name below the station folder.
 */
public record GivenOut(String file, Map<String, Entry> entries) {
    private static final List<String> COLUMNS = List.of("address", "subject", "given-out", "withdrawn");

    /**
     * @param withdrawn since when no row of the list has it; null while one has.
     */
    public record Entry(
            int line,
            String subject,
            LocalDate since,
            @Nullable LocalDate withdrawn) {}

    public GivenOut {
        entries = Collections.unmodifiableMap(new LinkedHashMap<>(entries));
    }

    /** Where nothing was given out yet. */
    public static GivenOut nothing(String file) {
        return new GivenOut(file, Map.of());
    }

    /** Name of the file that belongs to a list: {@code control-room.given-out.csv}. */
    public static String fileOf(String list) {
        int dot = list.lastIndexOf('.');
        return (dot > list.lastIndexOf('/') ? list.substring(0, dot) : list) + ".given-out.csv";
    }

    public static Loaded<GivenOut> read(String file, String text) {
        Problems problems = new Problems();
        Map<String, Entry> entries = new LinkedHashMap<>();
        List<CommaTable.Row> rows = CommaTable.read(file, text, problems).rows();
        boolean headed = !rows.isEmpty()
                && rows.get(0).cells().stream()
                        .map(CommaTable.Cell::text)
                        .toList()
                        .equals(COLUMNS);
        if (!headed) {
            problems.error(
                    new Position(file, 1, 1),
                    "this is no list of given-out addresses",
                    "restore the file from version control; its first row is " + String.join(",", COLUMNS));
            return problems.loaded(null);
        }
        for (CommaTable.Row row : rows.subList(1, rows.size())) {
            List<CommaTable.Cell> cells = row.cells();
            if (cells.size() != COLUMNS.size()) {
                problems.error(
                        cells.get(0).position(),
                        "the row has " + cells.size() + " cells, not " + COLUMNS.size(),
                        "restore the file from version control");
                continue;
            }
            LocalDate since = date(cells.get(2), problems);
            LocalDate withdrawn = cells.get(3).text().isEmpty() ? null : date(cells.get(3), problems);
            if (since == null) {
                continue;
            }
            Entry entry = new Entry(row.line(), cells.get(1).text(), since, withdrawn);
            Entry first = entries.putIfAbsent(cells.get(0).text(), entry);
            if (first != null) {
                problems.error(
                        cells.get(0).position(),
                        "the address `" + cells.get(0).text() + "` is already in line " + first.line(),
                        "restore the file from version control; an address is given out once");
            }
        }
        return problems.loaded(problems.refused() ? null : new GivenOut(file, entries));
    }

    private static @Nullable LocalDate date(CommaTable.Cell cell, Problems problems) {
        try {
            return LocalDate.parse(cell.text());
        } catch (DateTimeParseException e) {
            problems.error(
                    cell.position(),
                    "`" + cell.text() + "` is no date",
                    "write it as 2026-11-30, or restore the file from version control");
            return null;
        }
    }

    /** Refuses an address that was given to something else; true where it was never given out. */
    boolean check(String address, PointSubject subject, Position at, Problems problems) {
        Entry entry = entries.get(address);
        if (entry != null && !entry.subject().equals(subject.toString())) {
            OptionalLong next = nextNumber();
            problems.error(
                    at,
                    "the address `" + address + "` was given to `" + entry.subject() + "` (" + file + ", line "
                            + entry.line()
                            + (entry.withdrawn() == null ? "" : ", withdrawn " + entry.withdrawn())
                            + ") and is never given to anything else",
                    "give `" + subject + "` an address that was never used"
                            + (next.isPresent() ? ", for example " + next.getAsLong() : ""));
        }
        return entry == null;
    }

    /** One above the highest address that is a number. */
    private OptionalLong nextNumber() {
        return entries.keySet().stream()
                .filter(a -> a.matches("[0-9]{1,15}"))
                .mapToLong(Long::parseLong)
                .map(n -> n + 1)
                .max();
    }

    /**
     * The same with the addresses of a list given out, and those that it no longer has withdrawn. An address that was
     * given to something else stays as it is.
     */
    public GivenOut with(List<ControlPoint> points, LocalDate today) {
        Map<String, ControlPoint> listed = new HashMap<>();
        points.forEach(p -> listed.put(p.address(), p));
        Map<String, Entry> next = new LinkedHashMap<>();
        entries.forEach((address, entry) -> {
            ControlPoint point = listed.get(address);
            boolean served = point != null && point.subject().toString().equals(entry.subject());
            LocalDate gone = entry.withdrawn() == null ? today : entry.withdrawn();
            next.put(address, new Entry(entry.line(), entry.subject(), entry.since(), served ? null : gone));
        });
        for (ControlPoint point : points) {
            next.putIfAbsent(
                    point.address(), new Entry(next.size() + 2, point.subject().toString(), today, null));
        }
        return new GivenOut(file, next);
    }

    /** As the file has it. */
    public String written() {
        List<List<String>> rows = new ArrayList<>();
        rows.add(COLUMNS);
        entries.forEach((address, entry) -> rows.add(List.of(
                address,
                entry.subject(),
                entry.since().toString(),
                entry.withdrawn() == null ? "" : entry.withdrawn().toString())));
        return CommaText.of(rows);
    }
}
