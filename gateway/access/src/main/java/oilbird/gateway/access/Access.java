package oilbird.gateway.access;

import java.io.IOException;
import java.net.Inet6Address;
import java.net.InetAddress;
import java.net.UnknownHostException;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import java.util.function.LongSupplier;
import java.util.function.Supplier;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * The one place where people and programs prove who they are. Thread-safe.
 *
 * <p>Wrong attempts are limited by address, and by name and address together; never by name alone, so that nobody can
 * lock somebody else out from elsewhere. A name that nobody has costs as much time as one that somebody has.
 */
public final class Access implements AutoCloseable {
    private static final Logger LOG = Logger.getLogger(Access.class);
    private static final Duration PAIR_BACK = Duration.ofSeconds(30);
    private static final Duration ADDRESS_BACK = Duration.ofSeconds(10);
    private static final int OF_PAIR = 5;
    private static final int OF_ADDRESS = 20;
    private static final int KEYS = 4_096;
    private static final Duration BUSY = Duration.ofSeconds(2);
    private static final long TOKEN_TOLD_NANOS = Duration.ofDays(1).toNanos();
    private static final int TOKENS_TOLD = 1_000;
    private static final Actor UNKNOWN = new Actor("unknown", "rest");

    /** What came of a try to prove something. */
    public sealed interface Outcome {
        /**
         * Proved.
         *
         * @param session id of the new session: for the person's browser alone.
         */
        record Granted(String name, String role, String session) implements Outcome {}

        /** Wrong, without a hint at what. */
        record Refused() implements Outcome {}

        /** Too many attempts, or too many at once. */
        record Later(Duration after) implements Outcome {}

        /** Proved, but what was asked for cannot be: why, in words for the person. */
        record NotTaken(String why) implements Outcome {}
    }

    private final AccountStore store;
    private final AccessRules rules;
    private final AccessTable table;
    private final LongSupplier nanos;
    private final Supplier<Instant> wall;
    private final Happenings happenings;
    private final Refusals refusals;
    private final Sessions sessions;
    private final HashDesk hashing = new HashDesk();
    private final PasswordHash nobody = PasswordHash.ofNobody();
    private final Attempts byPair = new Attempts(OF_PAIR, PAIR_BACK, KEYS);
    private final Attempts byAddress = new Attempts(OF_ADDRESS, ADDRESS_BACK, KEYS);
    private final Map<String, Long> tokensTold = new LinkedHashMap<>();
    private volatile Accounts accounts = Accounts.NONE;
    private volatile boolean readable = true;
    private volatile @Nullable String setUpDigest;
    /** A code that was used while the disk did not take the note of it. */
    private volatile @Nullable Instant spentUnwritten;

    /**
     * @param nanos a clock that never steps, for limits of sessions and attempts.
     * @param wall for the expiry of tokens, and for what is written down.
     */
    public Access(
            AccountStore store, AccessRules rules, LongSupplier nanos, Supplier<Instant> wall, Happenings happenings) {
        this.store = store;
        this.rules = rules;
        this.table = new AccessTable(rules.roles());
        this.nanos = nanos;
        this.wall = wall;
        this.happenings = happenings;
        this.refusals = new Refusals(happenings);
        this.sessions = new Sessions(rules.idle(), rules.absolute());
        refresh();
    }

    public AccessTable table() {
        return table;
    }

    public AccessRules rules() {
        return rules;
    }

    /** The accounts as they were last read whole. */
    public Accounts accounts() {
        return accounts;
    }

    // ---- what changes by itself

    /** Takes over what was changed in the file, and ends what is over. Called every second. */
    public void refresh() {
        try {
            Loaded<Accounts> read = store.read();
            Accounts value = read.value();
            if (value == null) {
                if (readable) {
                    LOG.errorf(
                            "GW-1202 the accounts cannot be read; those known before go on, and nobody can be added: %s",
                            String.join(
                                    "; ",
                                    read.problems().stream()
                                            .map(Problem::toString)
                                            .toList()));
                }
                readable = false;
            } else {
                readable = true;
                accounts = value;
            }
        } catch (IOException e) {
            if (readable) {
                LOG.errorf("GW-1202 the accounts cannot be read; those known before go on: %s", e.getMessage());
            }
            readable = false;
        }
        long now = nanos.getAsLong();
        sessions.endThose(session -> !valid(session), now).forEach(this::tellEnded);
        refusals.sweep(now);
    }

    private void tellEnded(Sessions.Session session) {
        happenings.tell(
                Kind.SESSION_ENDED,
                session.user(),
                new Actor("access", "rule"),
                session.address(),
                "by its limits, or since the account has changed",
                1);
    }

    private boolean valid(Sessions.Session session) {
        if (session.user().equals(Roles.BREAK_GLASS)) {
            Accounts.BreakGlass breakGlass = accounts.breakGlass();
            return breakGlass != null && breakGlass.made().toEpochMilli() == session.epoch();
        }
        Accounts.User user = accounts.users().get(session.user());
        return user != null && user.epoch() == session.epoch();
    }

    /** Whether the break-glass code was used and no new one made. */
    public boolean breakGlassUsed() {
        Accounts.BreakGlass breakGlass = accounts.breakGlass();
        return breakGlass != null
                && (breakGlass.spent() != null || breakGlass.made().equals(spentUnwritten));
    }

    // ---- who asks

    /**
     * Who asks.
     *
     * @param session what the browser sent as its session, or null.
     * @param bearer what a program sent as its token, or null; it alone counts where it is sent.
     */
    public Caller caller(String address, @Nullable String session, @Nullable String bearer) {
        if (bearer != null) {
            return program(address, bearer);
        }
        Sessions.Session found = session == null ? null : sessions.of(session, nanos.getAsLong());
        if (found == null || !valid(found)) {
            return new Caller.Anonymous(address);
        }
        return new Caller.Person(
                found.user(), roleOf(found), found.handle(), sessions.locked(found, nanos.getAsLong()), address);
    }

    private String roleOf(Sessions.Session session) {
        Accounts.User user = accounts.users().get(session.user());
        return user == null ? session.role() : user.role();
    }

    private Caller program(String address, String bearer) {
        int dot = bearer.indexOf('.');
        String id = dot < 0 ? "" : bearer.substring(0, dot);
        String digest = Secrets.digest(bearer.substring(dot + 1));
        Accounts.Token found = null;
        for (Accounts.Token token : accounts.tokens().values()) {
            if (token.id().equals(id) && Secrets.same(token.digest(), digest)) {
                found = token;
            }
        }
        if (found == null || !wall.get().isBefore(found.expires())) {
            String why = found == null ? "a token that is not valid" : "a token that is over";
            Actor by = found == null ? UNKNOWN : new Actor(found.name(), "rest");
            refusals.refused(Kind.CALL_REFUSED, found == null ? "" : found.name(), by, address, why, nanos.getAsLong());
            return new Caller.Anonymous(address);
        }
        tellToken(found.name(), address);
        return new Caller.Program(found.name(), found.scope(), address);
    }

    /** The first use from an address is a sign-in, and again each day. */
    private void tellToken(String name, String address) {
        long now = nanos.getAsLong();
        synchronized (tokensTold) {
            String key = name + " " + address;
            Long told = tokensTold.get(key);
            if (told != null && now - told < TOKEN_TOLD_NANOS) {
                return;
            }
            tokensTold.put(key, now);
            if (tokensTold.size() > TOKENS_TOLD) {
                tokensTold.remove(tokensTold.keySet().iterator().next());
            }
        }
        happenings.tell(Kind.SIGNED_IN, name, new Actor(name, "rest"), address, "with a token", 1);
    }

    /** A door has refused somebody by the table. */
    public void refused(Caller caller, String text) {
        String name = caller instanceof Caller.Person person
                ? person.name()
                : caller instanceof Caller.Program program ? program.name() : "";
        Actor by = name.isEmpty() ? UNKNOWN : new Actor(name, "rest");
        refusals.refused(Kind.CALL_REFUSED, name, by, caller.address(), text, nanos.getAsLong());
    }

    /** The person of a session did something that counts against idleness. */
    public void active(String session) {
        sessions.active(session, nanos.getAsLong());
    }

    // ---- signing in and out

    /**
     * Proves a person by name and password, or by the break-glass code.
     *
     * @param password what was typed.
     * @param door {@code page} or {@code rest}.
     */
    public Outcome signIn(String name, String password, String address, String door) {
        return signIn(name, password, address, door, false);
    }

    /**
     * Proves a person by name and password for a connection that is the session itself, as that of an OPC UA client:
     * it lasts until the connection ends, which the door tells by {@link #signOut}, or the account changes. The
     * break-glass code is for pages only.
     */
    public Outcome connect(String name, String password, String address, String door) {
        return signIn(name, password, address, door, true);
    }

    private Outcome signIn(String name, String password, String address, String door, boolean lasting) {
        refresh();
        String who = name.strip().toLowerCase(Locale.ROOT);
        Accounts.User user = accounts.users().get(who);
        Accounts.BreakGlass breakGlass = who.equals(Roles.BREAK_GLASS) && !lasting ? usableBreakGlass() : null;
        PasswordHash hash = user != null ? user.password() : breakGlass != null ? breakGlass.code() : nobody;
        String typed = who.equals(Roles.BREAK_GLASS) ? Secrets.typed(password) : password;
        boolean known = user != null || breakGlass != null;
        Outcome wrong = prove(who, known, address, door, () -> hash.matches(typed) && known);
        if (wrong != null) {
            return wrong;
        }
        if (user != null) {
            return begin(user.name(), user.role(), user.epoch(), address, door, lasting);
        }
        Accounts.BreakGlass used = Objects.requireNonNull(breakGlass);
        if (!spend(used, address, door)) {
            return new Outcome.Refused();
        }
        return begin(Roles.BREAK_GLASS, Roles.BREAK_GLASS, used.made().toEpochMilli(), address, door, false);
    }

    private Accounts.@Nullable BreakGlass usableBreakGlass() {
        Accounts.BreakGlass there = accounts.breakGlass();
        return there == null || there.spent() != null || there.made().equals(spentUnwritten) ? null : there;
    }

    /** The code works once; with a disk that takes nothing too, since that is when it may be needed. */
    private synchronized boolean spend(Accounts.BreakGlass code, String address, String door) {
        if (code.made().equals(spentUnwritten)) {
            return false;
        }
        try {
            Accounts.Outcome outcome = store.change(present -> {
                Accounts.BreakGlass there = present.breakGlass();
                return there != null && there.made().equals(code.made())
                        ? present.spendBreakGlass(hand(Roles.BREAK_GLASS, address, door))
                        : new Accounts.Outcome.Refused("there is another code");
            });
            refresh();
            return outcome instanceof Accounts.Outcome.Done;
        } catch (IOException e) {
            LOG.errorf("GW-1203 the use of the break-glass code could not be written down: %s", e.getMessage());
            spentUnwritten = code.made();
            happenings.tell(
                    Kind.BREAK_GLASS_USED,
                    Roles.BREAK_GLASS,
                    new Actor(Roles.BREAK_GLASS, door),
                    address,
                    "it could not be written to the accounts: " + e.getMessage(),
                    1);
            return true;
        }
    }

    private Accounts.Hand hand(String name, String address, String door) {
        return new Accounts.Hand(new Actor(name, door), address, wall.get());
    }

    private Outcome.Granted begin(String name, String role, long epoch, String address, String door, boolean lasting) {
        List<Sessions.Session> ended = new ArrayList<>();
        String id = sessions.begin(name, role, epoch, address, lasting, nanos.getAsLong(), ended);
        happenings.tell(Kind.SIGNED_IN, name, new Actor(name, door), address, "role " + role, 1);
        ended.forEach(this::tellEnded);
        return new Outcome.Granted(name, role, id);
    }

    /** Null where it is proved. The same steps whoever it is. */
    private @Nullable Outcome prove(
            String who, boolean known, String address, String door, java.util.function.BooleanSupplier right) {
        long now = nanos.getAsLong();
        String from = network(address);
        String pair = from + " " + Secrets.digest(who);
        Duration wait = byAddress.wait(from, now);
        Duration ofPair = byPair.wait(pair, now);
        if (ofPair.compareTo(wait) > 0) {
            wait = ofPair;
        }
        // What was typed as a name may be a password: it is told only where it is a name.
        String about = known ? who : "";
        Actor by = known ? new Actor(who, door) : new Actor("unknown", door);
        if (!wait.isZero()) {
            refusals.refused(Kind.SIGN_IN_REFUSED, about, by, address, "too many wrong attempts", now);
            return new Outcome.Later(wait);
        }
        // Counted before it is known, so that many at once do not get more attempts than one after the other.
        byPair.wrong(pair, now);
        byAddress.wrong(from, now);
        try {
            if (hashing.check(from, right)) {
                byPair.right(pair);
                byAddress.refund(from, now);
                return null;
            }
        } catch (HashDesk.BusyException e) {
            byPair.refund(pair, now);
            byAddress.refund(from, now);
            refusals.refused(Kind.SIGN_IN_REFUSED, about, by, address, "too many at once", now);
            return new Outcome.Later(BUSY);
        }
        refusals.refused(
                Kind.SIGN_IN_REFUSED, about, by, address, known ? "wrong password" : "a name that nobody has", now);
        return new Outcome.Refused();
    }

    /** Of an IPv6 address the network of one subscriber: whoever has one has all of it. */
    static String network(String address) {
        try {
            if (address.indexOf(':') >= 0 && InetAddress.getByName(address) instanceof Inet6Address six) {
                return HexFormat.of().formatHex(Arrays.copyOf(six.getAddress(), 8)) + "/64";
            }
        } catch (UnknownHostException e) {
            return address;
        }
        return address;
    }

    public void signOut(String session, String door) {
        Sessions.Session ended = sessions.end(session);
        if (ended != null) {
            happenings.tell(Kind.SIGNED_OUT, ended.user(), new Actor(ended.user(), door), ended.address(), "", 1);
        }
    }

    /** A person gives the old password and a new one. All the person's sessions end, and a new one begins. */
    public Outcome changePassword(Caller.Person person, String old, String next, String door) {
        Accounts.User user = accounts.users().get(person.name());
        PasswordHash hash = user == null ? nobody : user.password();
        Outcome wrong =
                prove(person.name(), user != null, person.address(), door, () -> hash.matches(old) && user != null);
        if (wrong != null) {
            return wrong;
        }
        String refusal = PasswordRules.refusal(next, person.name(), rules.shortestPassword());
        if (refusal != null) {
            return new Outcome.NotTaken(refusal);
        }
        return changed(
                person.name(),
                person.address(),
                door,
                next,
                (present, made) -> present.password(person.name(), made, hand(person.name(), person.address(), door)));
    }

    private interface Change {
        Accounts.Outcome of(Accounts present, PasswordHash made);
    }

    private Outcome changed(String name, String address, String door, String password, Change change) {
        PasswordHash made = PasswordHash.of(password);
        try {
            Accounts.Outcome outcome = store.change(present -> change.of(present, made));
            if (outcome instanceof Accounts.Outcome.Refused refused) {
                return new Outcome.NotTaken(refused.why());
            }
            refresh();
        } catch (IOException e) {
            LOG.errorf("GW-1204 the accounts cannot be changed: %s", e.getMessage());
            return new Outcome.NotTaken("the accounts cannot be changed; the gateway's log has more");
        }
        Accounts.User now = accounts.users().get(name);
        return now == null
                ? new Outcome.NotTaken("the account has changed meanwhile")
                : begin(name, now.role(), now.epoch(), address, door, false);
    }

    // ---- the first user

    /** Whether there is no user yet, and the set-up code is awaited. */
    public boolean awaitsSetUp() {
        return setUpDigest != null && accounts.users().isEmpty();
    }

    /** A new code for making the first user, where there is none yet; it is not kept, and works until the next start. */
    public @Nullable String newSetUpCode() {
        if (!readable || !accounts.users().isEmpty()) {
            return null;
        }
        String code = Secrets.code();
        setUpDigest = Secrets.digest(code);
        return code;
    }

    /** Makes the first user, who manages all others. */
    public Outcome setUp(String code, String name, String password, String address, String door) {
        refresh();
        String expected = awaitsSetUp() ? setUpDigest : null;
        String given = Secrets.digest(Secrets.typed(code));
        Outcome wrong = prove("set-up", false, address, door, () -> expected != null && Secrets.same(expected, given));
        if (wrong != null) {
            return wrong;
        }
        String who = name.strip().toLowerCase(Locale.ROOT);
        String wrongName = Accounts.wrongName(who);
        String refusal = wrongName != null ? wrongName : PasswordRules.refusal(password, who, rules.shortestPassword());
        if (refusal != null) {
            return new Outcome.NotTaken(refusal);
        }
        String role = rules.roles().actions().entrySet().stream()
                .filter(e -> e.getValue().contains(Action.MANAGE_USERS))
                .map(Map.Entry::getKey)
                .findFirst()
                .orElseThrow();
        Outcome outcome = changed(
                who,
                address,
                door,
                password,
                (present, made) -> present.users().isEmpty()
                        ? present.add(who, role, made, true, Kind.SET_UP, hand(who, address, door))
                        : new Accounts.Outcome.Refused("there is a user already"));
        if (outcome instanceof Outcome.Granted) {
            setUpDigest = null;
        }
        return outcome;
    }

    // ---- managing

    /** Ends all sessions of a user; says why not where it cannot. */
    public Accounts.Outcome signOutEverywhere(String user, Accounts.Hand hand) throws IOException {
        Accounts.Outcome outcome = store.change(present -> present.signOut(user, hand));
        refresh();
        return outcome;
    }

    /** Notes the role map of this start in the journal, where it is another. */
    public void noteRoles() {
        try {
            store.inForce(rules);
            store.change(present -> present.roles(
                    rules.roles(), new Accounts.Hand(new Actor("station folder", "rule"), "", wall.get())));
        } catch (IOException e) {
            LOG.errorf("GW-1204 the accounts cannot be changed: %s", e.getMessage());
        }
        refresh();
    }

    /** How many sessions each user has. */
    public Map<String, Long> sessionCounts() {
        Map<String, Long> counts = new LinkedHashMap<>();
        sessions.all().forEach(session -> counts.merge(session.user(), 1L, Long::sum));
        return counts;
    }

    @Override
    public void close() {
        hashing.close();
    }
}
