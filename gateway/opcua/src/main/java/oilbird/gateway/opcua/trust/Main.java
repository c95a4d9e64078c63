package oilbird.gateway.opcua.trust;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.cert.X509Certificate;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.List;
import java.util.Optional;

/**
 * The command {@code trust}: which monitors the gateway trusts as OPC UA servers and, after the word {@code clients},
 * which control-room systems it trusts as clients of its own server. Works while the gateway runs.
 */
public final class Main {
    private static final int DONE = 0;
    private static final int DID_NOT_WORK = 1;
    private static final int REFUSED = 2;

    private Main() {}

    public static void main(String[] words) {
        PrintStream out = new PrintStream(System.out, true, StandardCharsets.UTF_8);
        int status = run(List.of(words), Instant.now(), out);
        out.flush();
        System.exit(status);
    }

    /**
     * @return the exit status.
     */
    static int run(List<String> words, Instant now, PrintStream out) {
        boolean clients = words.size() > 1 && words.get(1).equals("clients");
        List<String> act = words.isEmpty() ? List.of() : words.subList(clients ? 2 : 1, words.size());
        boolean list = !words.isEmpty() && (act.isEmpty() || act.equals(List.of("list")));
        boolean change = act.size() == 2 && List.of("accept", "remove").contains(act.get(0));
        if (!list && !change) {
            out.println("usage: trust DATA [clients] [list] | trust DATA [clients] accept THUMBPRINT|FILE"
                    + " | trust DATA [clients] remove THUMBPRINT");
            return REFUSED;
        }
        Path data = Path.of(words.get(0));
        if (!Files.isDirectory(data)) {
            out.println(data + " is not a data folder of a gateway");
            return REFUSED;
        }
        Path place = data.resolve(clients ? "opc-ua-server" : "opc-ua");
        TrustFolder folder = new TrustFolder(place);
        try {
            return list ? list(folder, place, clients, now, out) : change(folder, act.get(0), act.get(1), out);
        } catch (IOException e) {
            out.println("it did not work: " + e.getMessage());
            return DID_NOT_WORK;
        }
    }

    private static int list(TrustFolder folder, Path place, boolean clients, Instant now, PrintStream out) {
        Path own = place.resolve(OwnCertificate.CERTIFICATE_FILE);
        out.println("The gateway's own certificate, to be trusted at the "
                + (clients ? "control-room systems: " : "monitors: ")
                + (Files.exists(own)
                        ? own
                        : "made when the gateway first starts with an OPC UA "
                                + (clients ? "server in its station file" : "monitor")));
        for (TrustFolder.Kind kind :
                List.of(TrustFolder.Kind.TRUSTED, TrustFolder.Kind.ISSUERS, TrustFolder.Kind.REJECTED)) {
            List<TrustFolder.Held> held = folder.held(kind);
            out.println(kind.folder() + (held.isEmpty() ? ": none" : ":"));
            held.forEach(h -> out.println("  " + line(h.certificate(), now)));
        }
        out.println("revoked: " + folder.revocationLists().size() + " lists");
        return DONE;
    }

    private static String line(X509Certificate certificate, Instant now) {
        Instant until = certificate.getNotAfter().toInstant();
        Instant from = certificate.getNotBefore().toInstant();
        return TrustFolder.thumbprint(certificate) + "  "
                + certificate.getSubjectX500Principal().getName() + ", valid "
                + day(from) + " to " + day(until)
                + (until.isBefore(now) ? " (OVER)" : from.isAfter(now) ? " (NOT YET)" : "");
    }

    private static LocalDate day(Instant instant) {
        return LocalDate.ofInstant(instant, ZoneOffset.UTC);
    }

    private static int change(TrustFolder folder, String act, String which, PrintStream out) throws IOException {
        Path file = Path.of(which);
        boolean isFile = act.equals("accept") && Files.isRegularFile(file);
        Optional<Path> done =
                act.equals("remove") ? folder.remove(which) : isFile ? folder.accept(file) : folder.accept(which);
        if (done.isEmpty()) {
            out.println(
                    isFile
                            ? which + " holds no certificate in DER or PEM"
                            : "no single certificate there begins with \"" + which
                                    + "\"; give at least six digits of its thumbprint, as the list shows it");
            return REFUSED;
        }
        out.println((act.equals("accept") ? "trusted from the next attempt to connect: " : "no longer trusted: ")
                + done.get());
        return DONE;
    }
}
