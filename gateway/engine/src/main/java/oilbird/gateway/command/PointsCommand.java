package oilbird.gateway.command;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.time.LocalDate;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.gateway.points.GivenOut;
import oilbird.gateway.points.PointList;
import oilbird.gateway.points.PointSheet;
import oilbird.gateway.station.LinkSettings;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.text.Loaded;
import org.jspecify.annotations.Nullable;

/** The points of a station's links: what is served, and addresses given out. */
final class PointsCommand {
    static final String USAGE = "points STATION [--link ID] [--format csv] | points STATION --give-out";

    private PointsCommand() {}

    /**
     * @param words after {@code points}.
     */
    static int run(List<String> words, PrintStream out, LocalDate today) {
        if (words.isEmpty() || words.get(0).startsWith("--")) {
            out.println("usage: " + USAGE);
            return Main.USAGE;
        }
        Path folder = Path.of(words.get(0));
        if (words.size() == 2 && words.get(1).equals("--give-out")) {
            return giveOut(folder, out, today);
        }
        Map<String, String> options = new LinkedHashMap<>();
        for (int i = 1; i < words.size(); i += 2) {
            boolean known = List.of("--link", "--format").contains(words.get(i));
            if (!known || i + 1 == words.size() || options.put(words.get(i), words.get(i + 1)) != null) {
                out.println("usage: " + USAGE);
                return Main.USAGE;
            }
        }
        if (!options.getOrDefault("--format", "csv").equals("csv")) {
            out.println("there is no format " + options.get("--format") + "; write csv");
            return Main.USAGE;
        }
        return list(folder, options.get("--link"), out);
    }

    private static int list(Path folder, @Nullable String only, PrintStream out) {
        Loaded<Station> loaded = StationFolder.load(folder);
        Station station = loaded.value();
        if (station == null) {
            StationCheck.list(loaded.problems(), out);
            return StationCheck.REFUSED;
        }
        List<String> links = station.links().stream().map(LinkSettings::id).toList();
        if (only != null && !links.contains(only)) {
            out.println("the station has no link " + only + "; its links are " + String.join(", ", links));
            return Main.USAGE;
        }
        PointSheet sheet =
                new PointSheet(station.model().facts(), station.model().rules());
        boolean headed = false;
        for (String link : links) {
            if (only == null || only.equals(link)) {
                String csv = sheet.csv(link, station.pointsOf(link));
                out.print(headed ? csv.substring(csv.indexOf('\n') + 1) : csv);
                headed = true;
            }
        }
        return 0;
    }

    private static int giveOut(Path folder, PrintStream out, LocalDate today) {
        Loaded<Station> loaded = StationFolder.givingOut(folder);
        Station station = loaded.value();
        if (station == null) {
            StationCheck.list(loaded.problems(), out);
            return StationCheck.REFUSED;
        }
        StationCheck.list(loaded.problems(), out);
        Map<String, PointList> lists = new LinkedHashMap<>();
        station.points().values().stream().filter(l -> !l.isDefault()).forEach(l -> lists.put(l.file(), l));
        if (lists.isEmpty()) {
            out.println(
                    "no link of the station has a list of its own: the addresses of the default points need no keeping");
        }
        for (PointList list : lists.values()) {
            try {
                giveOut(folder, list, out, today);
            } catch (IOException e) {
                out.println(GivenOut.fileOf(list.file()) + " cannot be written: " + e.getMessage());
                return 1;
            }
        }
        return 0;
    }

    private static void giveOut(Path folder, PointList list, PrintStream out, LocalDate today) throws IOException {
        String name = GivenOut.fileOf(list.file());
        Path file = folder.resolve(name);
        GivenOut before = Files.exists(file)
                ? GivenOut.read(name, Files.readString(file)).result().orElseThrow()
                : GivenOut.nothing(name);
        GivenOut after = before.with(list.points(), today);
        Path next = file.resolveSibling(file.getFileName() + ".new");
        Files.write(next, after.written().getBytes(StandardCharsets.UTF_8));
        Files.move(next, file, StandardCopyOption.REPLACE_EXISTING, StandardCopyOption.ATOMIC_MOVE);
        long added = after.entries().size() - before.entries().size();
        long withdrawn = after.entries().values().stream()
                        .filter(e -> e.withdrawn() != null)
                        .count()
                - before.entries().values().stream()
                        .filter(e -> e.withdrawn() != null)
                        .count();
        out.println(name + ": " + added + " given out, " + withdrawn + " more withdrawn, "
                + after.entries().size() + " in all; keep it with the station folder");
    }
}
