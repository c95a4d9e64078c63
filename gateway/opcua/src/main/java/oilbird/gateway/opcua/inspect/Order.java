package oilbird.gateway.opcua.inspect;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.DateTimeException;
import java.time.Duration;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.gateway.command.StationCheck;
import oilbird.gateway.command.inspect.Comparison;
import oilbird.gateway.command.inspect.ExitStatus;
import oilbird.gateway.command.inspect.LiveView;
import oilbird.gateway.command.inspect.MapFile;
import oilbird.gateway.opcua.Probe;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.gateway.station.SecretSource;
import oilbird.mapping.draft.BrowseDraft;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.map.Verification;
import oilbird.mapping.text.Loaded;
import org.jspecify.annotations.Nullable;

/** What the command line asks for. */
final class Order {
    static final String USAGE = """
            usage:
              inspect opc.tcp://HOST:PORT/PATH                   which security the server offers
              inspect opc.tcp://... --security POLICY [...]      what the server says of itself
              inspect opc.tcp://... --security POLICY --browse --name NAME [--out FILE]
                                                                 walks the server and drafts a map
              inspect opc.tcp://... --security POLICY --map FILE [--for 30s]
                                                                 live readings, and indications bit by bit
              inspect opc.tcp://... --security POLICY --map FILE --verify --by NAME [--on 2026-03-31]
                                                                 asks for each point whether the local display agrees
            POLICY is Basic256Sha256, Aes128_Sha256_RsaOaep, Aes256_Sha256_RsaPss or none; --sign: signed, not encrypted.
            --data DIR is the gateway's data folder, whose certificate and trusted certificates are used; needed unless
            the security is none. --user NAME --password FILE: a file below DIR/secrets, or an absolute path.
            --deadline 4s is the time for one answer. Nothing is ever written to the server.""";

    private static final Set<String> WITH_VALUE = new TreeSet<>(List.of(
            "--security",
            "--data",
            "--user",
            "--password",
            "--map",
            "--for",
            "--by",
            "--on",
            "--name",
            "--out",
            "--deadline"));
    private static final Set<String> ALONE = new TreeSet<>(List.of("--browse", "--verify", "--sign"));
    private static final Pattern SECONDS = Pattern.compile("([0-9]{1,5}) ?(ms|s|m|min)");
    private static final Pattern NAME = Pattern.compile("[a-z][a-z0-9]*(-[a-z0-9]+)*");

    private final Map<String, String> given;
    private final String url;

    private Order(Map<String, String> given, String url) {
        this.given = given;
        this.url = url;
    }

    /** The command was given wrongly; the message says how. */
    static final class WrongOrderException extends Exception {
        private static final long serialVersionUID = 1L;

        WrongOrderException(String message) {
            super(message);
        }
    }

    static Order of(List<String> words) throws WrongOrderException {
        Map<String, String> given = new LinkedHashMap<>();
        String url = "";
        for (int i = 0; i < words.size(); i++) {
            String word = words.get(i);
            if (ALONE.contains(word)) {
                given.put(word, "");
            } else if (WITH_VALUE.contains(word)) {
                if (i + 1 == words.size()) {
                    throw new WrongOrderException(word + " needs a value");
                }
                given.put(word, words.get(++i));
            } else if (word.startsWith("-") || !url.isEmpty()) {
                throw new WrongOrderException("inspect does not know \"" + word + "\"");
            } else {
                url = word;
            }
        }
        Order order = new Order(given, url);
        order.checkTogether();
        return order;
    }

    private void checkTogether() throws WrongOrderException {
        if (!url.startsWith("opc.tcp://")) {
            throw new WrongOrderException("name the server: opc.tcp://HOST:PORT/PATH");
        }
        security();
        if (!has("--security") && (has("--browse") || has("--map"))) {
            throw new WrongOrderException("say how the way to the server is secured: --security POLICY");
        }
        if (has("--security") && security() != OpcUaEndpoint.Security.NONE && !has("--data")) {
            throw new WrongOrderException(
                    "a secured session needs the gateway's certificate: --data with its data folder");
        }
        if (has("--user") != has("--password")) {
            throw new WrongOrderException("--user and --password go together");
        }
        if (has("--browse") && !NAME.matcher(text("--name")).matches()) {
            throw new WrongOrderException(
                    "--browse needs --name, small letters, digits and single hyphens, a letter first, for example"
                            + " mtm-2");
        }
        if (has("--verify") && (!has("--map") || !has("--by"))) {
            throw new WrongOrderException("--verify needs --map FILE and --by NAME");
        }
        mark();
        duration("--deadline", Duration.ofSeconds(4));
        duration("--for", Duration.ZERO);
    }

    int run(BufferedReader in, PrintStream out) throws InterruptedException {
        try {
            Duration deadline = duration("--deadline", Duration.ofSeconds(4));
            if (!has("--security")) {
                return offers(deadline, out);
            }
            MapFile map = has("--map") ? MapFile.at(Path.of(text("--map"))) : null;
            if (map != null && !map.load(out)) {
                return ExitStatus.REFUSED;
            }
            DeviceMap of = map == null ? null : map.map();
            if (of != null && of.nodes() == null) {
                out.println(text("--map") + " is for Modbus");
                return ExitStatus.REFUSED;
            }
            OpcUaEndpoint.Identity identity = has("--user")
                    ? new OpcUaEndpoint.UserName(text("--user"), new SecretSource(text("--password"), null))
                    : new OpcUaEndpoint.Anonymous();
            OpcUaEndpoint endpoint = new OpcUaEndpoint(url, security(), !has("--sign"), identity, deadline);
            Path data = has("--data") ? Path.of(text("--data")) : Files.createTempDirectory("inspect-");
            Probe.Opening opening = Probe.open(endpoint, data);
            if (opening instanceof Probe.Opening.NotOpened notOpened) {
                out.println(url + " cannot be inspected: " + notOpened.why());
                return ExitStatus.DID_NOT_WORK;
            }
            try (Probe probe = ((Probe.Opening.Opened) opening).probe()) {
                if (!Introduction.of(probe, url, of, out)) {
                    return ExitStatus.DID_NOT_WORK;
                }
                if (has("--browse")) {
                    return draft(probe, out);
                }
                if (map == null || of == null) {
                    return ExitStatus.DONE;
                }
                LiveView live = new LiveView(of, new ServerAnswers(probe, of), out);
                return has("--verify")
                        ? new Comparison(live, map, mark(), in, out).run()
                        : live.follow(duration("--for", Duration.ZERO));
            }
        } catch (IOException e) {
            out.println("it did not work: " + e.getMessage());
            return ExitStatus.DID_NOT_WORK;
        } catch (WrongOrderException checkedBefore) {
            throw new IllegalStateException(checkedBefore);
        }
    }

    private int offers(Duration deadline, PrintStream out) throws InterruptedException {
        try {
            out.println(url + " offers:");
            Probe.offers(url, deadline).forEach(offer -> out.println("  " + offer));
            out.println("Choose with --security.");
            return ExitStatus.DONE;
        } catch (IOException e) {
            out.println(url + " does not answer: " + e.getMessage());
            return ExitStatus.DID_NOT_WORK;
        }
    }

    private int draft(Probe probe, PrintStream out) throws IOException, InterruptedException {
        Walk walk = new Walk(probe);
        BrowseDraft draft = BrowseDraft.of(url, text("--name"), walk.variables());
        draft.remarks().forEach(out::println);
        walk.remarks().forEach(out::println);
        if (draft.yaml().isEmpty()) {
            out.println("nothing was found that a map could use");
            return ExitStatus.DID_NOT_WORK;
        }
        Path to = has("--out") ? Path.of(text("--out")) : null;
        if (to == null) {
            out.print(draft.yaml());
        } else {
            try {
                Files.writeString(to, draft.yaml(), StandardCharsets.UTF_8, StandardOpenOption.CREATE_NEW);
            } catch (FileAlreadyExistsException exists) {
                out.println(to + " exists and was left as it is; name another file, or move it away");
                return ExitStatus.DID_NOT_WORK;
            }
        }
        String written = to == null ? text("--name") + ".yaml" : to.toString();
        Loaded<DeviceMap> read = MapReader.read(written, draft.yaml());
        StationCheck.list(read.problems(), out);
        if (read.value() == null) {
            out.println("The draft needs the corrections above before it can be used.");
            return ExitStatus.REFUSED;
        }
        out.println("Drafted " + written + ": " + draft.points() + " points, " + draft.words() + " words; "
                + (draft.remarks().size() + walk.remarks().size())
                + " remarks above on what the server does not say.");
        return ExitStatus.DONE;
    }

    private boolean has(String option) {
        return given.containsKey(option);
    }

    private String text(String option) {
        return given.getOrDefault(option, "");
    }

    private OpcUaEndpoint.Security security() throws WrongOrderException {
        if (!has("--security")) {
            return OpcUaEndpoint.Security.NONE;
        }
        for (OpcUaEndpoint.Security security : OpcUaEndpoint.Security.values()) {
            if (security.policy().equalsIgnoreCase(text("--security"))) {
                return security;
            }
        }
        throw new WrongOrderException("--security does not know \"" + text("--security") + "\"");
    }

    private Duration duration(String option, Duration absent) throws WrongOrderException {
        if (!has(option)) {
            return absent;
        }
        Matcher matcher = SECONDS.matcher(text(option));
        if (!matcher.matches() || Integer.parseInt(matcher.group(1)) == 0) {
            throw new WrongOrderException(option + " takes a time such as 500ms, 30s or 2m");
        }
        int count = Integer.parseInt(matcher.group(1));
        return switch (matcher.group(2)) {
            case "ms" -> Duration.ofMillis(count);
            case "s" -> Duration.ofSeconds(count);
            default -> Duration.ofMinutes(count);
        };
    }

    private Verification mark() throws WrongOrderException {
        @Nullable String on = given.get("--on");
        try {
            return new Verification(
                    text("--by"), on == null ? LocalDate.now(ZoneId.systemDefault()) : LocalDate.parse(on));
        } catch (DateTimeException noDay) {
            throw new WrongOrderException("--on takes a day such as 2026-03-31, not \"" + on + "\"");
        }
    }
}
