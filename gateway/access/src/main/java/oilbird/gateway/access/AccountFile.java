package oilbird.gateway.access;

import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.SchemaCheck;
import oilbird.mapping.text.YamlDocument;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import oilbird.mapping.text.YamlText;
import org.jspecify.annotations.Nullable;

/** The text of the file that holds the accounts. */
final class AccountFile {
    static final String NAME = "users.yaml";

    private static final SchemaCheck SCHEMA = SchemaCheck.of("/oilbird/schema/users-1.schema.json");

    private final Problems problems;

    private AccountFile(Problems problems) {
        this.problems = problems;
    }

    /** The accounts, or every mistake of the file with its place. */
    static Loaded<Accounts> read(String text) {
        Problems problems = new Problems();
        Accounts accounts = YamlDocument.read(NAME, text, problems)
                .map(root -> {
                    SCHEMA.check(root);
                    return problems.refused() ? null : new AccountFile(problems).accounts(root.asMapping());
                })
                .orElse(null);
        return problems.loaded(accounts);
    }

    private Accounts accounts(YamlMapping root) {
        Map<String, Accounts.User> users = new LinkedHashMap<>();
        for (YamlNode item : root.list("users").items()) {
            YamlMapping of = item.asMapping();
            PasswordHash password = hash(of, "password");
            Instant since = time(of, "since");
            if (password != null && since != null) {
                String name = of.text("name");
                if (users.put(name, new Accounts.User(name, of.text("role"), password, of.whole("epoch"), since))
                        != null) {
                    problems.error(of.position(), "the user `" + name + "` is there twice", "delete one");
                }
            }
        }
        Map<String, Accounts.Token> tokens = new LinkedHashMap<>();
        for (YamlNode item : root.list("tokens").items()) {
            YamlMapping of = item.asMapping();
            Instant since = time(of, "since");
            Instant expires = time(of, "expires");
            if (since != null && expires != null) {
                Set<Action> scope = EnumSet.noneOf(Action.class);
                of.texts("scope").forEach(action -> Action.of(action).ifPresent(scope::add));
                tokens.put(
                        of.text("name"),
                        new Accounts.Token(of.text("name"), of.text("id"), of.text("digest"), scope, since, expires));
            }
        }
        List<Accounts.Entry> journal = new ArrayList<>();
        for (YamlNode item : root.list("journal").items()) {
            YamlMapping of = item.asMapping();
            Instant at = time(of, "at");
            if (at != null) {
                journal.add(new Accounts.Entry(
                        of.whole("number"),
                        of.whole("previous"),
                        of.choice("what", Kind.class),
                        of.text("about", ""),
                        new Actor(of.text("by"), of.text("door")),
                        of.text("address", ""),
                        of.text("text", ""),
                        at));
            }
        }
        return new Accounts(
                users,
                tokens,
                root.has("break_glass") ? breakGlass(root.mapping("break_glass")) : null,
                new LinkedHashSet<>(root.texts("retired")),
                root.text("roles_seen", ""),
                journal);
    }

    private Accounts.@Nullable BreakGlass breakGlass(YamlMapping of) {
        PasswordHash code = hash(of, "code");
        Instant made = time(of, "made");
        return code == null || made == null
                ? null
                : new Accounts.BreakGlass(code, made, of.has("spent") ? time(of, "spent") : null);
    }

    private @Nullable PasswordHash hash(YamlMapping of, String key) {
        try {
            return PasswordHash.parse(of.text(key));
        } catch (IllegalArgumentException e) {
            problems.error(
                    of.valuePosition(key),
                    String.valueOf(e.getMessage()),
                    "set the password anew with \"deploy/oilbird user password\"");
            return null;
        }
    }

    private @Nullable Instant time(YamlMapping of, String key) {
        try {
            return Instant.parse(of.text(key));
        } catch (DateTimeParseException e) {
            problems.error(
                    of.valuePosition(key), "`" + e.getParsedString() + "` is no time", "write 2026-11-30T06:00:00Z");
            return null;
        }
    }

    static String write(Accounts accounts) {
        StringBuilder text = new StringBuilder("# Written by Oilbird. Change it with \"deploy/oilbird user\", which"
                + " also notes who did.\nusers_file: 1\n");
        if (!accounts.rolesSeen().isEmpty()) {
            text.append("roles_seen: ")
                    .append(YamlText.of(accounts.rolesSeen()))
                    .append('\n');
        }
        list(text, "users", accounts.users().values().stream().map(AccountFile::user));
        list(text, "tokens", accounts.tokens().values().stream().map(AccountFile::token));
        Accounts.BreakGlass breakGlass = accounts.breakGlass();
        if (breakGlass != null) {
            text.append("break_glass: {code: ")
                    .append(YamlText.of(breakGlass.code().phc()))
                    .append(", made: ")
                    .append(YamlText.of(breakGlass.made().toString()))
                    .append(
                            breakGlass.spent() == null
                                    ? ""
                                    : ", spent: "
                                            + YamlText.of(breakGlass.spent().toString()))
                    .append("}\n");
        }
        list(text, "retired", accounts.retired().stream().map(YamlText::of));
        list(text, "journal", accounts.journal().stream().map(AccountFile::entry));
        return text.toString();
    }

    private static void list(StringBuilder text, String key, java.util.stream.Stream<String> items) {
        List<String> lines = items.toList();
        if (!lines.isEmpty()) {
            text.append(key).append(":\n");
            lines.forEach(line -> text.append("  - ").append(line).append('\n'));
        }
    }

    private static String user(Accounts.User user) {
        return "{name: " + YamlText.of(user.name()) + ", role: " + YamlText.of(user.role()) + ", epoch: " + user.epoch()
                + ", since: " + YamlText.of(user.since().toString()) + ", password: "
                + YamlText.of(user.password().phc()) + "}";
    }

    private static String token(Accounts.Token token) {
        return "{name: " + YamlText.of(token.name()) + ", id: " + YamlText.of(token.id()) + ", digest: "
                + YamlText.of(token.digest()) + ", scope: ["
                + token.scope().stream().map(Action::written).collect(Collectors.joining(", ")) + "], since: "
                + YamlText.of(token.since().toString()) + ", expires: "
                + YamlText.of(token.expires().toString()) + "}";
    }

    private static String entry(Accounts.Entry entry) {
        return "{number: " + entry.number() + ", previous: " + entry.previous() + ", at: "
                + YamlText.of(entry.at().toString()) + ", what: "
                + entry.kind().name().toLowerCase(Locale.ROOT).replace('_', '-') + ", about: "
                + YamlText.of(entry.about()) + ", by: " + YamlText.of(entry.by().name()) + ", door: "
                + YamlText.of(entry.by().door()) + ", address: " + YamlText.of(entry.address()) + ", text: "
                + YamlText.of(entry.text()) + "}";
    }
}
