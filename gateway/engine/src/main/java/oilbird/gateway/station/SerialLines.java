package oilbird.gateway.station;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.rule.Shared;
import oilbird.gateway.station.SerialLine.Way;
import oilbird.gateway.station.StationFile.DeviceEntry;
import oilbird.gateway.station.StationFile.SharedEntry;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.Suggestion;
import oilbird.mapping.text.YamlMapping;
import org.jspecify.annotations.Nullable;

/** The section {@code lines} of a station file, and the devices' places on them. */
final class SerialLines {
    /** Names that the kernel gives in the order of plugging in. */
    private static final String UNSTABLE = "/dev/(ttyUSB|ttyACM)[0-9]+";

    private static final int LOWEST_BAUD = 1200;
    private static final Duration ANSWERS_AFTER = Duration.ofMillis(20);

    private final Problems problems;
    private final Map<String, SerialLine> lines = new LinkedHashMap<>();
    private final Map<String, Position> ways = new LinkedHashMap<>();
    private final Map<String, Position> units = new LinkedHashMap<>();
    private final Map<String, YamlMapping> written = new LinkedHashMap<>();

    SerialLines(Problems problems) {
        this.problems = problems;
    }

    void add(YamlMapping line) {
        String id = line.text("id", "");
        boolean serial = line.has("serial");
        if (serial == line.has("rtu_over_tcp")) {
            problems.error(
                    line.position(),
                    serial ? "the line is both serial and rtu_over_tcp" : "the line does not say where it is",
                    "write serial: {port: /dev/serial/by-id/...}, or rtu_over_tcp: {host: ..., port: ...}");
        }
        YamlMapping at = line.mapping(serial ? "serial" : "rtu_over_tcp");
        Way way = serial
                ? new Way.Port(at.text("port", ""))
                : new Way.Tcp(at.text("host", ""), (int) at.whole("port", 0));
        if (way instanceof Way.Port port) {
            warnOfName(port.path(), at.valuePosition("port"));
        }
        Position first = ways.putIfAbsent(way.written(), at.position());
        if (first != null) {
            problems.error(
                    at.position(),
                    "the line of line " + first.line() + " is at " + way.written() + " too",
                    "put the units of both on one line");
        }
        // A rate that the schema has refused must not be divided by.
        int baud = (int) Math.max(LOWEST_BAUD, line.whole("baud", LOWEST_BAUD));
        written.put(id, line);
        lines.put(
                id,
                new SerialLine(
                        id,
                        line.text("name", id),
                        way,
                        baud,
                        SerialLine.Format.of(line.text("format", "")),
                        line.truth("echo", false)));
    }

    private void warnOfName(String path, Position at) {
        if (path.matches(UNSTABLE)) {
            problems.warning(
                    at,
                    "`" + path + "` may name another adapter after the next start",
                    "write its name under /dev/serial/by-id or /dev/serial/by-path (ls -l /dev/serial/by-id)");
        }
    }

    /** The place of a device; null where its line is not known, which has then been told. */
    @Nullable
    ModbusRtuEndpoint place(YamlMapping rtu) {
        String id = rtu.text("line", "");
        SerialLine line = lines.get(id);
        int unit = (int) rtu.whole("unit", 0);
        if (line == null) {
            if (rtu.has("line")) {
                problems.error(
                        rtu.valuePosition("line"),
                        "there is no line `" + id + "`",
                        lines.isEmpty()
                                ? "describe it under lines:"
                                : Suggestion.closest(id, lines.keySet())
                                        .map(near -> "did you mean " + near + "?")
                                        .orElse("write one of " + String.join(", ", lines.keySet())));
            }
            return null;
        }
        Position first = units.putIfAbsent(id + " " + unit, rtu.valuePosition("unit"));
        if (first != null && rtu.has("unit")) {
            problems.error(
                    rtu.valuePosition("unit"),
                    "unit " + unit + " of " + id + " is given in line " + first.line() + " already",
                    "two units on a line that answer at once destroy each other's answers; give each its own");
        }
        return new ModbusRtuEndpoint(
                line,
                unit,
                rtu.duration("deadline", Duration.ofSeconds(1)),
                rtu.duration("gap", line.frameGap()),
                rtu.duration("turnaround", Duration.ZERO),
                rtu.duration("answers_after", ANSWERS_AFTER));
    }

    /** What the units of each line share; a line with one device has no loss of its own. */
    List<SharedEntry> shared(List<DeviceEntry> devices) {
        List<SharedEntry> shared = new ArrayList<>();
        lines.forEach((id, line) -> {
            Map<String, Position> on = new LinkedHashMap<>();
            for (DeviceEntry device : devices) {
                if (device.endpoint() instanceof ModbusRtuEndpoint rtu
                        && rtu.line().id().equals(id)) {
                    on.put(device.id(), device.position());
                }
            }
            YamlMapping text = written.get(id);
            if (text != null && on.isEmpty()) {
                problems.warning(
                        text.position(), "no device is on the line " + id, "put devices on it, or leave it out");
            } else if (text != null && on.size() > 1) {
                shared.add(new SharedEntry(
                        id,
                        line.name(),
                        Shared.Kind.SERIAL_LINE,
                        text.position(),
                        text.text("asset", StationFile.GATEWAY),
                        text.valuePosition("asset"),
                        on,
                        Map.of()));
            }
        });
        return shared;
    }
}
