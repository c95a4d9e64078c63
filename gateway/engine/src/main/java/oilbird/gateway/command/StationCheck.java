package oilbird.gateway.command;

import java.io.PrintStream;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import oilbird.gateway.station.LineLoad;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.gateway.station.PolledDevice;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import oilbird.mapping.text.Problem.Severity;

/** Checks a station folder: lists every mistake, or says what the gateway would run on. */
public final class StationCheck {
    /** The station folder has mistakes; the gateway would refuse to start with it. */
    public static final int REFUSED = 2;

    private StationCheck() {}

    static int run(Path folder, PrintStream out) {
        Loaded<Station> loaded = StationFolder.load(folder);
        list(loaded.problems(), out);
        Station station = loaded.value();
        if (station == null) {
            return REFUSED;
        }
        out.printf(
                Locale.ROOT,
                "%s (%s): %d assets, %d devices, %d alarms, %d links%n",
                station.model().facts().name(),
                station.model().facts().id(),
                station.model().facts().assets().size(),
                station.devices().size(),
                station.model().rules().size(),
                station.links().size());
        station.points()
                .forEach((link, list) -> out.println(
                        "link " + link + ": " + counted(list.points().size(), "point") + " ("
                                + (list.isDefault() ? "the default list" : list.file()) + ")"));
        for (LineLoad line : LineLoad.of(station.devices())) {
            out.printf(
                    Locale.ROOT,
                    "line %s: %s in a cycle of %d ms (%s, estimated), busy %s %% of the time%n",
                    line.name(),
                    counted(line.requests(), "request"),
                    line.cycle().toMillis(),
                    line.estimate(),
                    line.percent());
            line.devices().forEach(device -> plan(device, out));
        }
        for (PolledDevice device : station.devices()) {
            if (device.endpoint() instanceof OpcUaEndpoint server) {
                out.println("server " + server.url() + ", security "
                        + server.security().policy());
                device.map().nodePlan().forEach(block -> plan(device, block, out));
            }
        }
        return 0;
    }

    private static void plan(PolledDevice device, PrintStream out) {
        for (ReadBlock block : device.map().readPlan()) {
            String table = block.table().name().toLowerCase(Locale.ROOT).replace('_', ' ');
            out.printf(
                    Locale.ROOT,
                    "  %s reads %d %s from %d every %d ms (%s)%n",
                    device.id(),
                    block.count(),
                    block.count() == 1 ? table.substring(0, table.length() - 1) : table,
                    block.start(),
                    device.period(block).toMillis(),
                    block.pollClass());
        }
    }

    private static void plan(PolledDevice device, NodeBlock block, PrintStream out) {
        out.printf(
                Locale.ROOT,
                "  %s %s %s every %d ms (%s)%n",
                device.id(),
                block.subscribed() ? "subscribes" : "reads",
                counted(block.items().size(), "node"),
                device.period(block).toMillis(),
                block.pollClass());
    }

    /** Lists problems, one a line, and their number. */
    public static void list(List<Problem> problems, PrintStream out) {
        problems.forEach(out::println);
        long errors =
                problems.stream().filter(p -> p.severity() == Severity.ERROR).count();
        if (!problems.isEmpty()) {
            out.println(counted(errors, "error") + ", " + counted(problems.size() - errors, "warning"));
        }
    }

    private static String counted(long count, String what) {
        return count + " " + what + (count == 1 ? "" : "s");
    }
}
