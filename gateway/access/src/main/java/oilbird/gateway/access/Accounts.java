package oilbird.gateway.access;

import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import org.jspecify.annotations.Nullable;

/**
 * All users and tokens with the journal of what changed about them. A change gives new accounts and never changes
 * these.
 *
 * @param users by name.
 * @param tokens by name.
 * @param retired names of removed users: never given to another person, since the record would mix the two.
 * @param rolesSeen the role map at the last start, in words; empty before the first.
 * @param journal the newest changes, oldest first.
 */
public record Accounts(
        Map<String, User> users,
        Map<String, Token> tokens,
        @Nullable BreakGlass breakGlass,
        Set<String> retired,
        String rolesSeen,
        List<Entry> journal) {
    public static final Accounts NONE = new Accounts(Map.of(), Map.of(), null, Set.of(), "", List.of());

    private static final int MOST_USERS = 500;
    private static final int MOST_TOKENS = 200;
    private static final int MOST_RETIRED = 5_000;
    private static final int JOURNAL = 1_000;
    private static final int LONGEST_TEXT = 2_000;
    private static final Pattern NAME = Pattern.compile("[a-z][a-z0-9._-]{1,39}");
    private static final Pattern TOKEN = Pattern.compile("[a-z][a-z0-9-]{1,39}");
    /** Doors by which people act; a token of such a name could be taken for a person at it. */
    private static final Set<String> DOORS = Set.of("page", "rest", "command", "rule", "journal");

    /**
     * A person's account.
     *
     * @param epoch another one after each change that must end the person's sessions.
     */
    public record User(String name, String role, PasswordHash password, long epoch, Instant since) {}

    /**
     * A program's account.
     *
     * @param id public part of the token's text, by which it is found.
     * @param digest SHA-256 of its secret part.
     */
    public record Token(String name, String id, String digest, Set<Action> scope, Instant since, Instant expires) {
        public Token {
            scope = Collections.unmodifiableSet(new LinkedHashSet<>(scope));
        }
    }

    /**
     * The code for when nobody with an account is there.
     *
     * @param spent when it was used; null where it can be used.
     */
    public record BreakGlass(
            PasswordHash code, Instant made, @Nullable Instant spent) {}

    /**
     * One change.
     *
     * @param number rises from entry to entry, and is never used again.
     * @param previous number of the entry before it; 0 for none.
     */
    public record Entry(
            long number, long previous, Kind kind, String about, Actor by, String address, String text, Instant at) {}

    /** What came of a change that was asked for. */
    public sealed interface Outcome {
        record Done(Accounts next) implements Outcome {}

        /** In words for the person who asked. */
        record Refused(String why) implements Outcome {}
    }

    /**
     * Who changes something, from where and when.
     *
     * @param address an IP address; empty for a command on the gateway's own machine.
     */
    public record Hand(Actor by, String address, Instant at) {}

    public Accounts {
        users = Collections.unmodifiableMap(new LinkedHashMap<>(users));
        tokens = Collections.unmodifiableMap(new LinkedHashMap<>(tokens));
        retired = Collections.unmodifiableSet(new LinkedHashSet<>(retired));
        journal = List.copyOf(journal);
    }

    /** Why a text is no name for a user; null where it is. */
    public static @Nullable String wrongName(String name) {
        return NAME.matcher(name).matches() && !name.equals(Roles.BREAK_GLASS)
                ? null
                : "a name is 2 to 40 lower-case letters, digits, dots, hyphens and underscores, and begins with a"
                        + " letter: a.person";
    }

    public Outcome add(String name, String role, PasswordHash password, boolean samePerson, Kind kind, Hand hand) {
        String wrong = wrongName(name);
        if (wrong != null) {
            return new Outcome.Refused(wrong);
        }
        if (users.containsKey(name)) {
            return new Outcome.Refused("there is a user " + name + " already");
        }
        if (tokens.containsKey(name)) {
            return new Outcome.Refused("there is a token " + name + "; the record must not mix the two");
        }
        if (retired.contains(name) && !samePerson) {
            return new Outcome.Refused("there was a user " + name + ": names are not given to another person, since the"
                    + " record would mix the two; choose another, or say --same-person");
        }
        if (users.size() >= MOST_USERS) {
            return new Outcome.Refused("there are " + MOST_USERS + " users already");
        }
        Map<String, User> next = new LinkedHashMap<>(users);
        next.put(name, new User(name, role, password, nextNumber(hand.at()), hand.at()));
        Set<String> still = new LinkedHashSet<>(retired);
        still.remove(name);
        return done(next, tokens, breakGlass, still, rolesSeen, kind, name, "role " + role, hand);
    }

    public Outcome role(String name, String role, Hand hand) {
        User user = users.get(name);
        if (user == null) {
            return noUser(name);
        }
        if (user.role().equals(role)) {
            return new Outcome.Refused(name + " has the role " + role + " already");
        }
        User changed = new User(name, role, user.password(), nextNumber(hand.at()), user.since());
        return with(changed, Kind.ROLE_CHANGED, "role " + role + ", before " + user.role(), hand);
    }

    public Outcome password(String name, PasswordHash password, Hand hand) {
        User user = users.get(name);
        if (user == null) {
            return noUser(name);
        }
        User changed = new User(name, user.role(), password, nextNumber(hand.at()), user.since());
        return with(changed, Kind.PASSWORD_CHANGED, "", hand);
    }

    /** Ends all sessions of a user. */
    public Outcome signOut(String name, Hand hand) {
        User user = users.get(name);
        if (user == null) {
            return noUser(name);
        }
        User changed = new User(name, user.role(), user.password(), nextNumber(hand.at()), user.since());
        return with(changed, Kind.SESSIONS_REVOKED, "all sessions", hand);
    }

    public Outcome remove(String name, Hand hand) {
        User user = users.get(name);
        if (user == null) {
            return noUser(name);
        }
        Map<String, User> next = new LinkedHashMap<>(users);
        next.remove(name);
        Set<String> gone = new LinkedHashSet<>(retired);
        gone.add(name);
        if (gone.size() > MOST_RETIRED) {
            gone.remove(gone.iterator().next());
        }
        return done(
                next, tokens, breakGlass, gone, rolesSeen, Kind.USER_REMOVED, name, "role was " + user.role(), hand);
    }

    public Outcome addToken(Token token, Hand hand) {
        if (!TOKEN.matcher(token.name()).matches() || DOORS.contains(token.name())) {
            return new Outcome.Refused("a token's name is 2 to 40 lower-case letters, digits and hyphens, begins with a"
                    + " letter, and is none of " + DOORS.stream().sorted().collect(Collectors.joining(", ")));
        }
        if (tokens.containsKey(token.name()) || users.containsKey(token.name())) {
            return new Outcome.Refused("there is a token or a user " + token.name() + " already");
        }
        if (tokens.size() >= MOST_TOKENS) {
            return new Outcome.Refused("there are " + MOST_TOKENS + " tokens already");
        }
        if (token.scope().isEmpty() || !Action.grantableToPrograms().containsAll(token.scope())) {
            return new Outcome.Refused("a token's scope is one or more of "
                    + Action.grantableToPrograms().stream().map(Action::written).collect(Collectors.joining(", ")));
        }
        if (!token.expires().isAfter(hand.at())) {
            return new Outcome.Refused("the token would be over already");
        }
        Map<String, Token> next = new LinkedHashMap<>(tokens);
        next.put(token.name(), token);
        String scope = token.scope().stream().map(Action::written).collect(Collectors.joining(", "));
        return done(
                users,
                next,
                breakGlass,
                retired,
                rolesSeen,
                Kind.TOKEN_ADDED,
                token.name(),
                "scope " + scope + "; expires " + token.expires(),
                hand);
    }

    public Outcome removeToken(String name, Hand hand) {
        if (!tokens.containsKey(name)) {
            return new Outcome.Refused("there is no token " + name);
        }
        Map<String, Token> next = new LinkedHashMap<>(tokens);
        next.remove(name);
        return done(users, next, breakGlass, retired, rolesSeen, Kind.TOKEN_REMOVED, name, "", hand);
    }

    /** A new code takes the place of the one before, used or not. */
    public Outcome breakGlass(PasswordHash code, Hand hand) {
        return done(
                users,
                tokens,
                new BreakGlass(code, hand.at(), null),
                retired,
                rolesSeen,
                Kind.BREAK_GLASS_MADE,
                Roles.BREAK_GLASS,
                "",
                hand);
    }

    public Outcome spendBreakGlass(Hand hand) {
        BreakGlass there = breakGlass;
        if (there == null || there.spent() != null) {
            return new Outcome.Refused("there is no break-glass code that could be used");
        }
        return done(
                users,
                tokens,
                new BreakGlass(there.code(), there.made(), hand.at()),
                retired,
                rolesSeen,
                Kind.BREAK_GLASS_USED,
                Roles.BREAK_GLASS,
                "the code is spent",
                hand);
    }

    /** Notes the role map of a start. */
    public Outcome roles(Roles roles, Hand hand) {
        String now = shortened(roles.said());
        if (now.equals(rolesSeen)) {
            return new Outcome.Refused("the role map is the same as before");
        }
        return done(users, tokens, breakGlass, retired, now, Kind.ROLES_CHANGED, "", now, hand);
    }

    private static Outcome noUser(String name) {
        return new Outcome.Refused("there is no user " + name);
    }

    private Outcome with(User changed, Kind kind, String text, Hand hand) {
        Map<String, User> next = new LinkedHashMap<>(users);
        next.put(changed.name(), changed);
        return done(next, tokens, breakGlass, retired, rolesSeen, kind, changed.name(), text, hand);
    }

    /** The one place where accounts become others. */
    private Outcome done(
            Map<String, User> users,
            Map<String, Token> tokens,
            @Nullable BreakGlass breakGlass,
            Set<String> retired,
            String rolesSeen,
            Kind kind,
            String about,
            String text,
            Hand hand) {
        List<Entry> longer = new ArrayList<>(journal);
        longer.add(new Entry(
                nextNumber(hand.at()),
                lastNumber(),
                kind,
                about,
                hand.by(),
                hand.address(),
                shortened(text),
                hand.at()));
        List<Entry> kept = longer.subList(Math.max(0, longer.size() - JOURNAL), longer.size());
        return new Outcome.Done(new Accounts(users, tokens, breakGlass, retired, rolesSeen, kept));
    }

    private long lastNumber() {
        return journal.isEmpty() ? 0 : journal.get(journal.size() - 1).number();
    }

    /** From the time, so that accounts that were restored from a backup do not count again what was counted. */
    private long nextNumber(Instant at) {
        return Math.max(lastNumber() + 1, at.toEpochMilli());
    }

    private static String shortened(String text) {
        return text.length() <= LONGEST_TEXT ? text : text.substring(0, LONGEST_TEXT);
    }
}
