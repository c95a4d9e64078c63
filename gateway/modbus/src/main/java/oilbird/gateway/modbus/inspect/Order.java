package oilbird.gateway.modbus.inspect;

import java.io.BufferedReader;
import java.io.PrintStream;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.gateway.command.inspect.Comparison;
import oilbird.gateway.command.inspect.ExitStatus;
import oilbird.gateway.command.inspect.LiveView;
import oilbird.gateway.command.inspect.MapFile;
import oilbird.gateway.command.inspect.OrderWords;
import oilbird.gateway.command.inspect.WrongOrderException;
import oilbird.gateway.station.SerialLine;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.Place;
import oilbird.mapping.map.Range;
import org.jspecify.annotations.Nullable;

/** What the command line asks for. */
final class Order {
    static final String USAGE = """
            usage:
              inspect HOST[:PORT] [--unit N]                     what the device says of itself
              inspect HOST[:PORT] [--unit N] --read TABLE:FIRST[-LAST] [--map FILE | --range LOW..HIGH]
                                                                 raw words, and the four word orders side by side;
                                                                 TABLE is coil, discrete_input, holding_register or
                                                                 input_register, FIRST counts from 0
              inspect HOST[:PORT] [--unit N] --map FILE [--for 30s]
                                                                 live readings, and indications bit by bit
              inspect HOST[:PORT] [--unit N] --map FILE --verify --by NAME [--on 2026-03-31]
                                                                 asks for each point whether the local display agrees
              inspect --map FILE --mark POINT,POINT --by NAME [--on 2026-03-31]
                                                                 marks points that somebody compared
              inspect --draft LIST.csv --name NAME [--one-based] [--out FILE]
                                                                 drafts a map from a maker's point list
              inspect opc.tcp://HOST:PORT/PATH                   an OPC UA server; see there for more
            On a serial line, instead of HOST[:PORT]:
              --serial /dev/serial/by-id/... --baud N [--format 8E1|8O1|8N2|8N1] [--echo] --unit N
            Through a terminal server that carries serial frames: HOST:PORT --rtu [--baud N] [--format F] [--echo] --unit N
            A device with one session, and a line, can be looked at only while the gateway has released it:
            "deploy/oilbird release".
            Ranges whose reading has an effect (read_effects in the map) are never touched.
            --deadline 2s is the time for one answer.""";

    private static final Set<String> WITH_VALUE = new TreeSet<>(List.of(
            "--unit",
            "--read",
            "--map",
            "--range",
            "--for",
            "--by",
            "--on",
            "--mark",
            "--draft",
            "--name",
            "--out",
            "--serial",
            "--baud",
            "--format",
            "--deadline"));
    private static final Set<String> ALONE =
            new TreeSet<>(List.of("--rtu", "--echo", "--verify", "--one-based", "--browse"));
    private static final Pattern READ = Pattern.compile("([a-z_]+):([0-9]{1,5})(?:-([0-9]{1,5}))?");
    private static final Pattern NUMBER_PAIR = Pattern.compile("(-?[0-9.]{1,20})\\.\\.(-?[0-9.]{1,20})");
    private static final int STANDARD_PORT = 502;
    /** Messaging on TCP/IP Implementation Guide V1.0b, 4.4.1.2, for a device that is addressed directly. */
    private static final int DIRECT_UNIT = 255;

    private final OrderWords words;
    private final @Nullable String host;

    private Order(OrderWords words) {
        this.words = words;
        this.host = words.address();
    }

    static Order of(List<String> words) throws WrongOrderException {
        Order order = new Order(OrderWords.of(words, WITH_VALUE, ALONE));
        order.checkTogether();
        return order;
    }

    private void checkTogether() throws WrongOrderException {
        if (words.has("--browse")) {
            throw new WrongOrderException(
                    "--browse walks an OPC UA server: inspect opc.tcp://HOST:PORT/PATH --security POLICY --browse --name NAME");
        }
        boolean verify = words.has("--verify") || words.has("--mark");
        boolean ownWork = words.has("--draft") || words.has("--mark");
        if (host == null && !ownWork && !words.has("--serial")) {
            throw new WrongOrderException("name the device: its host, or host:port, or --serial PORT");
        }
        if (host != null && words.has("--serial")) {
            throw new WrongOrderException("a device is at a host or on a serial port, not both");
        }
        if (words.has("--serial") && !words.has("--baud")) {
            throw new WrongOrderException("say how fast the line is: --baud 19200");
        }
        if (onALine()) {
            line();
        }
        if (host != null && ownWork) {
            throw new WrongOrderException("this needs no device");
        }
        if (words.has("--draft") && !words.has("--name")) {
            throw new WrongOrderException("--draft needs --name, the name of the new map, for example drb-6");
        }
        if (words.has("--draft") && !words.text("--name").matches("[a-z][a-z0-9]*(-[a-z0-9]+)*")) {
            throw new WrongOrderException("--name takes small letters, digits and single hyphens, a letter first");
        }
        if (verify && !words.has("--by")) {
            throw new WrongOrderException("say who compares: --by NAME");
        }
        if (verify && !words.has("--map")) {
            throw new WrongOrderException("say which map is to be marked: --map FILE");
        }
        if (words.has("--range") && (words.has("--map") || !words.has("--read"))) {
            throw new WrongOrderException("--range goes with --read and without --map");
        }
        if (words.has("--read")) {
            place();
        }
        if (words.has("--range")) {
            range();
        }
        words.mark();
        unit();
        words.duration("--deadline", Duration.ofSeconds(2));
        words.duration("--for", Duration.ZERO);
        port();
    }

    int run(BufferedReader in, PrintStream out) {
        try {
            if (words.has("--draft")) {
                return Drafting.run(
                        Path.of(words.text("--draft")),
                        words.text("--name"),
                        words.has("--one-based"),
                        words.has("--out") ? Path.of(words.text("--out")) : null,
                        out);
            }
            MapFile map = words.has("--map") ? MapFile.at(Path.of(words.text("--map"))) : null;
            if (map != null && !map.load(out)) {
                return ExitStatus.REFUSED;
            }
            if (map != null && words.has("--mark")) {
                return map.mark(List.of(words.text("--mark").split(",")), words.mark(), out)
                        ? ExitStatus.DONE
                        : ExitStatus.REFUSED;
            }
            try (DeviceProbe probe = probe()) {
                try {
                    return look(probe, map, in, out);
                } finally {
                    if (onALine()) {
                        out.println(probe.lineInWords());
                    }
                }
            }
        } catch (WrongOrderException checkedBefore) {
            throw new IllegalStateException(checkedBefore);
        }
    }

    private DeviceProbe probe() throws WrongOrderException {
        Duration deadline = words.duration("--deadline", Duration.ofSeconds(2));
        return onALine()
                ? new DeviceProbe(line(), unit(), deadline)
                : new DeviceProbe(address(), port(), unit(), deadline);
    }

    private boolean onALine() {
        return words.has("--serial") || words.has("--rtu");
    }

    private SerialLine line() throws WrongOrderException {
        int baud = words.has("--baud") ? number(words.text("--baud"), 300, 921_600, "--baud") : 19_200;
        SerialLine.Format format = SerialLine.Format.EVEN_1;
        for (SerialLine.Format known : SerialLine.Format.values()) {
            format = known.written().equals(words.text("--format")) ? known : format;
        }
        if (words.has("--format") && !format.written().equals(words.text("--format"))) {
            throw new WrongOrderException("--format is 8E1, 8O1, 8N2 or 8N1, not \"" + words.text("--format") + "\"");
        }
        if (unit() < 1 || unit() > 247) {
            throw new WrongOrderException("on a serial line --unit is 1 to 247");
        }
        SerialLine.Way way = words.has("--serial")
                ? new SerialLine.Way.Port(words.text("--serial"))
                : new SerialLine.Way.Tcp(address(), port());
        return new SerialLine("line", way.written(), way, baud, format, words.has("--echo"));
    }

    private int look(DeviceProbe probe, @Nullable MapFile map, BufferedReader in, PrintStream out)
            throws WrongOrderException {
        if (!Introduction.of(probe, map, out)) {
            return ExitStatus.DID_NOT_WORK;
        }
        if (words.has("--read")) {
            return new RawView(probe, map == null ? null : map.map(), words.has("--range") ? range() : null, out)
                    .show(place());
        }
        if (map == null) {
            return ExitStatus.DONE;
        }
        LiveView live = new LiveView(map.map(), new ModbusAnswers(probe, map.map()), out);
        return words.has("--verify")
                ? new Comparison(live, map, words.mark(), in, out).run()
                : live.follow(words.duration("--for", Duration.ZERO));
    }

    private String address() {
        String written = String.valueOf(host);
        int colon = written.lastIndexOf(':');
        return colon < 0 || written.endsWith("]") ? written : written.substring(0, colon);
    }

    private int port() throws WrongOrderException {
        String written = String.valueOf(host);
        int colon = written.lastIndexOf(':');
        if (host == null || colon < 0 || written.endsWith("]")) {
            return STANDARD_PORT;
        }
        return number(written.substring(colon + 1), 1, 65535, "a port");
    }

    private int unit() throws WrongOrderException {
        return words.has("--unit") ? number(words.text("--unit"), 0, 255, "--unit") : DIRECT_UNIT;
    }

    private static int number(String written, int least, int most, String what) throws WrongOrderException {
        if (written.matches("[0-9]{1,6}")) {
            int number = Integer.parseInt(written);
            if (number >= least && number <= most) {
                return number;
            }
        }
        throw new WrongOrderException(what + " is " + least + " to " + most + ", not \"" + written + "\"");
    }

    private Place place() throws WrongOrderException {
        Matcher matcher = READ.matcher(words.text("--read"));
        if (matcher.matches()) {
            int first = Integer.parseInt(matcher.group(2));
            int last = matcher.group(3) == null ? first : Integer.parseInt(matcher.group(3));
            for (ModbusTable table : ModbusTable.values()) {
                if (tableWord(table).equals(matcher.group(1)) && first <= last && last <= 65535) {
                    return new Place(table, first, last - first + 1);
                }
            }
        }
        throw new WrongOrderException(
                "--read takes a table and addresses from 0 to 65535, for example input_register:0-15");
    }

    /** How the map and the command line name a table: {@code input_register}. */
    static String tableWord(ModbusTable table) {
        String name = table.name().toLowerCase(Locale.ROOT);
        return name.substring(0, name.length() - 1);
    }

    private Range range() throws WrongOrderException {
        Matcher matcher = NUMBER_PAIR.matcher(words.text("--range"));
        try {
            if (matcher.matches()) {
                Range range = new Range(Double.parseDouble(matcher.group(1)), Double.parseDouble(matcher.group(2)));
                if (range.low() < range.high()) {
                    return range;
                }
            }
        } catch (NumberFormatException noNumber) {
            // Told below.
        }
        throw new WrongOrderException("--range takes the lowest and highest plausible value, for example 0..20000");
    }
}
