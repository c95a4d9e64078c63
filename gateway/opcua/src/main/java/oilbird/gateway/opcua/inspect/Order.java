package oilbird.gateway.opcua.inspect;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Objects;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.Pattern;
import oilbird.gateway.command.inspect.Comparison;
import oilbird.gateway.command.inspect.DraftedMap;
import oilbird.gateway.command.inspect.ExitStatus;
import oilbird.gateway.command.inspect.LiveView;
import oilbird.gateway.command.inspect.MapFile;
import oilbird.gateway.command.inspect.OrderWords;
import oilbird.gateway.command.inspect.WrongOrderException;
import oilbird.gateway.opcua.Probe;
import oilbird.gateway.opcua.trust.OwnCertificate;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.gateway.station.SecretSource;
import oilbird.mapping.draft.BrowseDraft;
import oilbird.mapping.map.DeviceMap;

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
            the security is none. --gateway ID, its gateway.id, is needed while it has no certificate yet. --user NAME --password FILE: a file below DIR/secrets, or an absolute path.
            --deadline 4s is the time for one answer. Nothing is ever written to the server.""";

    private static final Set<String> WITH_VALUE = new TreeSet<>(List.of(
            "--security",
            "--data",
            "--gateway",
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
    private static final Pattern NAME = Pattern.compile("[a-z][a-z0-9]*(-[a-z0-9]+)*");

    private final OrderWords words;
    private final String url;

    private Order(OrderWords words) {
        this.words = words;
        this.url = Objects.requireNonNullElse(words.address(), "");
    }

    static Order of(List<String> words) throws WrongOrderException {
        Order order = new Order(OrderWords.of(words, WITH_VALUE, ALONE));
        order.checkTogether();
        return order;
    }

    private void checkTogether() throws WrongOrderException {
        if (!url.startsWith("opc.tcp://")) {
            throw new WrongOrderException("name the server: opc.tcp://HOST:PORT/PATH");
        }
        security();
        if (!words.has("--security") && (words.has("--browse") || words.has("--map"))) {
            throw new WrongOrderException("say how the way to the server is secured: --security POLICY");
        }
        if (words.has("--security") && security() != OpcUaEndpoint.Security.NONE && !words.has("--data")) {
            throw new WrongOrderException(
                    "a secured session needs the gateway's certificate: --data with its data folder");
        }
        if (words.has("--user") != words.has("--password")) {
            throw new WrongOrderException("--user and --password go together");
        }
        if (words.has("--browse") && !NAME.matcher(words.text("--name")).matches()) {
            throw new WrongOrderException(
                    "--browse needs --name, small letters, digits and single hyphens, a letter first, for example"
                            + " mtm-2");
        }
        if (words.has("--verify") && (!words.has("--map") || !words.has("--by"))) {
            throw new WrongOrderException("--verify needs --map FILE and --by NAME");
        }
        words.mark();
        words.duration("--deadline", Duration.ofSeconds(4));
        words.duration("--for", Duration.ZERO);
    }

    int run(BufferedReader in, PrintStream out) throws InterruptedException {
        try {
            Duration deadline = words.duration("--deadline", Duration.ofSeconds(4));
            if (!words.has("--security")) {
                return offers(deadline, out);
            }
            MapFile map = words.has("--map") ? MapFile.at(Path.of(words.text("--map"))) : null;
            if (map != null && !map.load(out)) {
                return ExitStatus.REFUSED;
            }
            DeviceMap of = map == null ? null : map.map();
            if (of != null && of.nodes() == null) {
                out.println(words.text("--map") + " is for Modbus");
                return ExitStatus.REFUSED;
            }
            OpcUaEndpoint.Identity identity = words.has("--user")
                    ? new OpcUaEndpoint.UserName(words.text("--user"), new SecretSource(words.text("--password"), null))
                    : new OpcUaEndpoint.Anonymous();
            OpcUaEndpoint endpoint = new OpcUaEndpoint(url, security(), !words.has("--sign"), identity, deadline);
            Path data = words.has("--data") ? Path.of(words.text("--data")) : Files.createTempDirectory("inspect-");
            if (security() != OpcUaEndpoint.Security.NONE
                    && !words.has("--gateway")
                    && !OwnCertificate.isIn(data.resolve("opc-ua"))) {
                out.println(data + " has no certificate of the gateway yet, and servers would have to trust another one"
                        + " later: say --gateway ID, the gateway.id of the station file, to have it made now");
                return ExitStatus.REFUSED;
            }
            Probe.Opening opening =
                    Probe.open(endpoint, data, words.has("--gateway") ? words.text("--gateway") : "inspect");
            if (opening instanceof Probe.Opening.NotOpened notOpened) {
                out.println(url + " cannot be inspected: " + notOpened.why());
                return ExitStatus.DID_NOT_WORK;
            }
            try (Probe probe = ((Probe.Opening.Opened) opening).probe()) {
                if (!Introduction.of(probe, url, of, out)) {
                    return ExitStatus.DID_NOT_WORK;
                }
                if (words.has("--browse")) {
                    return draft(probe, out);
                }
                if (map == null || of == null) {
                    return ExitStatus.DONE;
                }
                LiveView live = new LiveView(of, new ServerAnswers(probe, of), out);
                return words.has("--verify")
                        ? new Comparison(live, map, words.mark(), in, out).run()
                        : live.follow(words.duration("--for", Duration.ZERO));
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
        BrowseDraft draft = BrowseDraft.of(url, words.text("--name"), walk.variables());
        draft.remarks().forEach(out::println);
        walk.remarks().forEach(out::println);
        if (draft.yaml().isEmpty()) {
            out.println("nothing was found that a map could use");
            return ExitStatus.DID_NOT_WORK;
        }
        DraftedMap drafted = DraftedMap.put(
                draft.yaml(), words.text("--name"), words.has("--out") ? Path.of(words.text("--out")) : null, out);
        if (drafted.map() == null) {
            return drafted.status();
        }
        out.println("Drafted " + drafted.written() + ": " + draft.points() + " points, " + draft.words() + " words; "
                + (draft.remarks().size() + walk.remarks().size())
                + " remarks above on what the server does not say.");
        return ExitStatus.DONE;
    }

    private OpcUaEndpoint.Security security() throws WrongOrderException {
        if (!words.has("--security")) {
            return OpcUaEndpoint.Security.NONE;
        }
        for (OpcUaEndpoint.Security security : OpcUaEndpoint.Security.values()) {
            if (security.policy().equalsIgnoreCase(words.text("--security"))) {
                return security;
            }
        }
        throw new WrongOrderException("--security does not know \"" + words.text("--security") + "\"");
    }
}
