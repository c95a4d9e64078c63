package oilbird.gateway.access.command;

import java.io.BufferedReader;
import java.io.Console;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.function.Function;
import java.util.stream.Collectors;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import oilbird.gateway.access.AccountStore;
import oilbird.gateway.access.Accounts;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.BreakGlassCode;
import oilbird.gateway.access.PasswordHash;
import oilbird.gateway.access.PasswordRules;
import oilbird.gateway.access.ServerCertificate;
import oilbird.gateway.access.Tokens;
import oilbird.mapping.text.Problem;
import org.jspecify.annotations.Nullable;

/**
 * {@code user DATA ...} and {@code certificate DATA ...}. Changes the accounts in the data folder; a running gateway
 * notices within a second. Passwords come from the terminal or standard input, never from the command line.
 */
public final class Main {
    private static final int DONE = 0;
    private static final int FAILED = 1;
    private static final int WRONG_COMMAND = 2;
    private static final int LONGEST_DAYS = 3_650;
    private static final int DAYS = 365;

    private static final String USAGE = """
            user DATA                             users, tokens, break-glass code, roles
            user DATA add NAME ROLE [--same-person]
            user DATA role NAME ROLE
            user DATA password NAME
            user DATA sign-out NAME               ends all sessions of the user
            user DATA remove NAME
            user DATA token list
            user DATA token add NAME --may ACTION,... [--days 365]
            user DATA token remove NAME
            user DATA break-glass                 makes a new code, printed once
            certificate DATA                      of the gateway's pages
            certificate DATA request [HOST ...]   a request (PKCS #10) for a certification authority
            certificate DATA take FILE            its answer, in PEM""";

    private final PrintStream out;
    private final Passwords passwords;

    /** Where a password comes from. */
    interface Passwords {
        /** Null where there is none. */
        @Nullable
        String read(String of) throws IOException;
    }

    private static final class RefusedException extends Exception {
        private static final long serialVersionUID = 1L;

        private final int status;

        RefusedException(int status, String why) {
            super(why);
            this.status = status;
        }
    }

    Main(PrintStream out, Passwords passwords) {
        this.out = out;
        this.passwords = passwords;
    }

    public static void main(String[] words) {
        PrintStream out = new PrintStream(System.out, false, StandardCharsets.UTF_8);
        int status = new Main(out, Main::ask).run(List.of(words));
        out.flush();
        System.exit(status);
    }

    private static @Nullable String ask(String of) throws IOException {
        Console console = System.console();
        if (console == null) {
            return new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8)).readLine();
        }
        char[] once = console.readPassword("New password of %s: ", of);
        char[] again = console.readPassword("The same again: ");
        if (once == null || again == null) {
            return null;
        }
        if (!java.util.Arrays.equals(once, again)) {
            throw new IOException("the two differ");
        }
        return new String(once);
    }

    int run(List<String> words) {
        try {
            if (words.size() < 2) {
                throw usage();
            }
            Path data = Path.of(words.get(1));
            if (!Files.isDirectory(data)) {
                throw new RefusedException(WRONG_COMMAND, "there is no data folder " + data);
            }
            List<String> rest = words.subList(2, words.size());
            switch (words.get(0)) {
                case "user" -> new Users(data).run(rest);
                case "certificate" -> certificate(new ServerCertificate(data), rest);
                default -> throw usage();
            }
            return DONE;
        } catch (RefusedException e) {
            out.println(e.getMessage());
            return e.status;
        } catch (IOException e) {
            out.println(e.getMessage());
            return FAILED;
        }
    }

    private static RefusedException usage() {
        return new RefusedException(WRONG_COMMAND, USAGE);
    }

    private void certificate(ServerCertificate files, List<String> words) throws IOException, RefusedException {
        if (words.isEmpty()) {
            var certificate = files.certificate();
            out.println("file        " + files.certificateFile());
            out.println("subject     " + certificate.getSubjectX500Principal().getName());
            out.println("issuer      " + certificate.getIssuerX500Principal().getName());
            out.println("valid until " + certificate.getNotAfter().toInstant()
                    + (ServerCertificate.expiring(certificate, Instant.now()) ? ", that is soon" : ""));
            out.println("SHA-256     " + ServerCertificate.thumbprint(certificate));
        } else if (words.get(0).equals("request")) {
            out.print(files.request("Oilbird gateway", words.subList(1, words.size())));
        } else if (words.get(0).equals("take") && words.size() == 2) {
            var taken = files.take(Files.readString(Path.of(words.get(1))), Instant.now());
            out.println("taken; valid until " + taken.getNotAfter().toInstant()
                    + "; a running gateway uses it within a minute");
        } else {
            throw usage();
        }
    }

    private final class Users {
        private final AccountStore store;
        private final Accounts.Hand hand;

        Users(Path data) {
            this.store = new AccountStore(data);
            String person = Optional.ofNullable(System.getenv("SUDO_USER"))
                    .filter(name -> !name.isBlank())
                    .orElse(System.getProperty("user.name", "unknown"));
            this.hand =
                    new Accounts.Hand(new Actor(person.isBlank() ? "unknown" : person, "command"), "", Instant.now());
        }

        void run(List<String> words) throws IOException, RefusedException {
            String verb = words.isEmpty() ? "list" : words.get(0);
            switch (verb) {
                case "list" -> list();
                case "add" -> {
                    boolean same = words.contains("--same-person");
                    List<String> plain = words.stream()
                            .filter(w -> !w.equals("--same-person"))
                            .toList();
                    String name = argument(plain, 1, 3);
                    String role = known(argument(plain, 2, 3));
                    String wrong = Accounts.wrongName(name);
                    if (wrong != null) {
                        throw new RefusedException(WRONG_COMMAND, wrong);
                    }
                    PasswordHash password = password(name);
                    change(a -> a.add(name, role, password, same, Kind.USER_ADDED, hand));
                    out.println(name + " is a user with the role " + role);
                }
                case "role" -> {
                    String name = argument(words, 1, 3);
                    String role = known(argument(words, 2, 3));
                    change(a -> a.role(name, role, hand));
                    out.println(name + " has the role " + role + "; open sessions are ended");
                }
                case "password" -> {
                    String name = argument(words, 1, 2);
                    PasswordHash password = password(name);
                    change(a -> a.password(name, password, hand));
                    out.println("the password of " + name + " is changed; open sessions are ended");
                }
                case "sign-out" -> {
                    String name = argument(words, 1, 2);
                    change(a -> a.signOut(name, hand));
                    out.println("all sessions of " + name + " are ended");
                }
                case "remove" -> {
                    String name = argument(words, 1, 2);
                    change(a -> a.remove(name, hand));
                    out.println(name + " is no user any more; open sessions are ended");
                }
                case "token" -> token(words.subList(1, words.size()));
                case "break-glass" -> {
                    argument(words, 0, 1);
                    String code = BreakGlassCode.make();
                    PasswordHash hash = PasswordHash.of(code);
                    change(a -> a.breakGlass(hash, hand));
                    out.println("Break-glass code, shown this once. It works once, for everything, at the sign-in page"
                            + " with the name break-glass. Seal it.\n\n    " + code + "\n");
                }
                default -> throw usage();
            }
        }

        private void token(List<String> words) throws IOException, RefusedException {
            String verb = words.isEmpty() ? "list" : words.get(0);
            switch (verb) {
                case "list" -> tokens(accounts());
                case "add" -> addToken(words);
                case "remove" -> {
                    String name = argument(words, 1, 2);
                    change(a -> a.removeToken(name, hand));
                    out.println("the token " + name + " is worth nothing any more");
                }
                default -> throw usage();
            }
        }

        private void addToken(List<String> words) throws IOException, RefusedException {
            String name = words.size() > 1 ? words.get(1) : "";
            Set<Action> scope = EnumSet.noneOf(Action.class);
            int days = DAYS;
            for (int i = 2; i < words.size(); i += 2) {
                String value = i + 1 < words.size() ? words.get(i + 1) : "";
                if (words.get(i).equals("--may")) {
                    for (String action : value.split(",", -1)) {
                        scope.add(Action.of(action.strip())
                                .orElseThrow(() -> new RefusedException(
                                        WRONG_COMMAND,
                                        "there is no action `" + action + "`; write one or more of "
                                                + Action.grantableToPrograms().stream()
                                                        .map(Action::written)
                                                        .collect(Collectors.joining(",")))));
                    }
                } else if (words.get(i).equals("--days") && value.matches("[1-9][0-9]{0,3}")) {
                    days = Integer.parseInt(value);
                } else {
                    throw usage();
                }
            }
            if (scope.isEmpty() || days > LONGEST_DAYS) {
                throw new RefusedException(
                        WRONG_COMMAND, "a token needs --may ACTION,... and lasts at most " + LONGEST_DAYS + " days");
            }
            Tokens.Made made = Tokens.make(name, scope, hand.at(), hand.at().plus(Duration.ofDays(days)));
            change(a -> a.addToken(made.token(), hand));
            out.println("Token of " + name + ", shown this once; it is over at "
                    + made.token().expires() + ". The program sends it as \"Authorization: Bearer TOKEN\".\n\n    "
                    + made.text() + "\n");
        }

        private void list() throws IOException, RefusedException {
            Accounts accounts = accounts();
            out.println("Users");
            accounts.users()
                    .values()
                    .forEach(u -> out.printf("  %-24s %-20s since %s%n", u.name(), u.role(), u.since()));
            if (accounts.users().isEmpty()) {
                out.println("  none; a start of the gateway prints a set-up code");
            }
            tokens(accounts);
            Accounts.BreakGlass breakGlass = accounts.breakGlass();
            out.println("Break-glass code");
            out.println(
                    breakGlass == null
                            ? "  none"
                            : breakGlass.spent() == null
                                    ? "  ready, made " + breakGlass.made()
                                    : "  spent " + breakGlass.spent() + "; make another");
            out.println("Roles");
            for (Map.Entry<String, Set<Action>> role :
                    store.inForce().roles().actions().entrySet()) {
                out.printf(
                        "  %-24s %s%n",
                        role.getKey(),
                        role.getValue().stream().map(Action::written).collect(Collectors.joining(", ")));
            }
        }

        private void tokens(Accounts accounts) {
            out.println("Tokens");
            accounts.tokens()
                    .values()
                    .forEach(t -> out.printf(
                            "  %-24s until %s: %s%n",
                            t.name(),
                            t.expires(),
                            t.scope().stream().map(Action::written).collect(Collectors.joining(", "))));
            if (accounts.tokens().isEmpty()) {
                out.println("  none");
            }
        }

        private Accounts accounts() throws IOException, RefusedException {
            var read = store.read();
            return read.result()
                    .orElseThrow(() -> new RefusedException(
                            FAILED,
                            new ArrayList<>(read.problems())
                                    .stream().map(Problem::toString).collect(Collectors.joining("\n"))));
        }

        private void change(Function<Accounts, Accounts.Outcome> change) throws IOException, RefusedException {
            if (store.change(change) instanceof Accounts.Outcome.Refused refused) {
                throw new RefusedException(WRONG_COMMAND, refused.why());
            }
        }

        private String known(String role) throws IOException, RefusedException {
            Map<String, Set<Action>> roles = store.inForce().roles().actions();
            if (!roles.containsKey(role)) {
                throw new RefusedException(
                        WRONG_COMMAND,
                        "there is no role " + role + "; write one of " + String.join(", ", roles.keySet())
                                + " (as of the gateway's last start)");
            }
            return role;
        }

        private PasswordHash password(String name) throws IOException, RefusedException {
            String typed = passwords.read(name);
            String refusal = typed == null
                    ? "no password was given"
                    : PasswordRules.refusal(typed, name, store.inForce().shortestPassword());
            if (typed == null || refusal != null) {
                throw new RefusedException(WRONG_COMMAND, String.valueOf(refusal));
            }
            return PasswordHash.of(typed);
        }

        private static String argument(List<String> words, int index, int count) throws RefusedException {
            if (words.size() != count) {
                throw usage();
            }
            return words.get(index);
        }
    }
}
