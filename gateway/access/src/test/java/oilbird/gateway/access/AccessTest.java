package oilbird.gateway.access;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.atomic.AtomicLong;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Signing in, sessions and tokens, as somebody who means harm would use them. Addresses are those of RFC 5737. */
class AccessTest {
    private static final String HERE = "192.0.2.10";
    private static final String ELSEWHERE = "198.51.100.7";
    private static final String PASSWORD = "correct horse battery";
    private static final Instant START = Instant.parse("2026-11-30T06:00:00Z");

    private record Told(Kind kind, String about, Actor by, String address, String text, long times) {}

    @TempDir
    Path data;

    private final AtomicLong nanos = new AtomicLong();
    private final List<Told> told = new CopyOnWriteArrayList<>();
    private AccountStore store;
    private Access access;

    @BeforeEach
    void start() throws IOException {
        store = new AccountStore(data);
        add("a.tester", "operator");
        access = access(AccessRules.DEFAULT);
    }

    private Access access(AccessRules rules) {
        return new Access(
                store,
                rules,
                nanos::get,
                this::wall,
                (kind, about, by, address, text, times) -> told.add(new Told(kind, about, by, address, text, times)));
    }

    private Instant wall() {
        return START.plusNanos(nanos.get());
    }

    private Accounts.Hand hand() {
        return new Accounts.Hand(new Actor("integrator", "command"), "", wall());
    }

    private void add(String name, String role) throws IOException {
        store.change(a -> a.add(name, role, PasswordHash.of(PASSWORD), false, Kind.USER_ADDED, hand()));
    }

    @AfterEach
    void stop() {
        access.close();
    }

    private void pass(Duration time) {
        nanos.addAndGet(time.toNanos());
    }

    private String session(String name) {
        Access.Outcome outcome = access.signIn(name, PASSWORD, HERE, "page");
        assertThat(outcome).isInstanceOf(Access.Outcome.Granted.class);
        return ((Access.Outcome.Granted) outcome).session();
    }

    private Caller by(String session) {
        return access.caller(HERE, session, null);
    }

    private List<Kind> kinds() {
        return told.stream().map(Told::kind).toList();
    }

    @Test
    void whoSignsInIsKnownByTheSessionAndRecordedWithTheAddress() {
        Caller caller = by(session(" A.Tester "));
        assertThat(caller).isInstanceOfSatisfying(Caller.Person.class, person -> {
            assertThat(person.name()).isEqualTo("a.tester");
            assertThat(person.role()).isEqualTo("operator");
            assertThat(person.locked()).isFalse();
        });
        assertThat(told).singleElement().satisfies(t -> {
            assertThat(t.kind()).isEqualTo(Kind.SIGNED_IN);
            assertThat(t.by()).isEqualTo(new Actor("a.tester", "page"));
            assertThat(t.address()).isEqualTo(HERE);
        });
    }

    @Test
    void everySignInGivesAnotherIdAndOneThatTheBrowserBroughtIsNeverTaken() {
        String planted = Secrets.random();
        assertThat(by(planted)).isInstanceOf(Caller.Anonymous.class);
        String first = session("a.tester");
        String second = session("a.tester");
        assertThat(List.of(planted, first, second)).doesNotHaveDuplicates();
        assertThat(first).as("256 bits").hasSize(43);
        assertThat(by(planted)).as("fixation").isInstanceOf(Caller.Anonymous.class);
    }

    @Test
    void aSessionThatWasSignedOutIsWorthNothingWhenItIsReplayed() {
        String session = session("a.tester");
        access.signOut(session, "page");
        assertThat(by(session)).isInstanceOf(Caller.Anonymous.class);
        assertThat(kinds()).containsExactly(Kind.SIGNED_IN, Kind.SIGNED_OUT);
    }

    @Test
    void anIdleSessionOnlyLooksAndALateActDoesNotWakeIt() {
        String session = session("a.tester");
        pass(Duration.ofMinutes(14));
        access.active(session);
        pass(Duration.ofMinutes(14));
        assertThat(((Caller.Person) by(session)).locked()).isFalse();
        pass(Duration.ofMinutes(1));
        assertThat(((Caller.Person) by(session)).locked()).isTrue();
        access.active(session);
        assertThat(((Caller.Person) by(session)).locked()).isTrue();
    }

    @Test
    void aSessionIsOverAfterItsAbsoluteLimitHoweverActiveItsPersonIs() {
        String session = session("a.tester");
        for (int i = 0; i < 12 * 6; i++) {
            assertThat(by(session)).isInstanceOf(Caller.Person.class);
            pass(Duration.ofMinutes(10));
            access.active(session);
        }
        assertThat(by(session)).isInstanceOf(Caller.Anonymous.class);
        access.refresh();
        assertThat(kinds()).containsExactly(Kind.SIGNED_IN, Kind.SESSION_ENDED);
    }

    @Test
    void sessionsEndWithEveryChangeOfTheirAccount() throws IOException {
        List<java.util.function.Function<Accounts, Accounts.Outcome>> changes = List.of(
                a -> a.role("a.tester", "engineer", hand()),
                a -> a.password("a.tester", PasswordHash.of(PASSWORD), hand()),
                a -> a.signOut("a.tester", hand()),
                a -> a.remove("a.tester", hand()));
        for (var change : changes) {
            String session = session("a.tester");
            pass(Duration.ofSeconds(1));
            assertThat(store.change(change)).isInstanceOf(Accounts.Outcome.Done.class);
            access.refresh();
            assertThat(by(session)).isInstanceOf(Caller.Anonymous.class);
        }
        assertThat(kinds().stream().filter(k -> k == Kind.SESSION_ENDED)).hasSize(4);
    }

    @Test
    void sessionsAreBoundedAndTheLeastActiveOfThePersonGivesWay() {
        List<String> ids = new ArrayList<>();
        for (int i = 0; i < 11; i++) {
            ids.add(session("a.tester"));
            pass(Duration.ofSeconds(1));
        }
        assertThat(by(ids.get(0))).isInstanceOf(Caller.Anonymous.class);
        assertThat(by(ids.get(1))).isInstanceOf(Caller.Person.class);
    }

    @Test
    void aStrangerCannotLockAUserOutFromElsewhere() {
        int later = 0;
        for (int i = 0; i < 200; i++) {
            Access.Outcome outcome = access.signIn("a.tester", "guess " + i, ELSEWHERE, "rest");
            assertThat(outcome).isNotInstanceOf(Access.Outcome.Granted.class);
            later += outcome instanceof Access.Outcome.Later ? 1 : 0;
        }
        assertThat(later).as("guesses that were not even looked at").isEqualTo(195);
        assertThat(by(session("a.tester"))).as("the user at the desk").isInstanceOf(Caller.Person.class);
        assertThat(access.signIn("a.tester", PASSWORD, ELSEWHERE, "rest"))
                .as("even with the right password the stranger waits")
                .isInstanceOf(Access.Outcome.Later.class);
        pass(Duration.ofMinutes(3));
        assertThat(access.signIn("a.tester", PASSWORD, ELSEWHERE, "rest")).isInstanceOf(Access.Outcome.Granted.class);
    }

    @Test
    void oneAddressTriesFewNamesAndAllAddressesOfAnIpv6NetworkAreOne() {
        int looked = 0;
        for (int i = 0; i < 100; i++) {
            Access.Outcome outcome =
                    access.signIn("name" + i, "guess", "2001:db8:1:2::" + Integer.toHexString(i + 1), "rest");
            looked += outcome instanceof Access.Outcome.Refused ? 1 : 0;
        }
        assertThat(looked).isEqualTo(20);
        assertThat(access.signIn("name", "guess", "2001:db8:1:3::1", "rest"))
                .isInstanceOf(Access.Outcome.Refused.class);
    }

    @Test
    void memoryOfAttemptsIsBounded() {
        Attempts attempts = new Attempts(5, Duration.ofSeconds(30), 4_096);
        for (int i = 0; i < 100_000; i++) {
            attempts.wrong("key " + i, 0);
        }
        assertThat(attempts.keys()).isEqualTo(4_096);
    }

    @Test
    void oneHashIsMadeAtATimeAndOneAddressHasFewWaiting() throws Exception {
        var begun = new java.util.concurrent.CountDownLatch(1);
        var goOn = new java.util.concurrent.CountDownLatch(1);
        try (HashDesk desk = new HashDesk()) {
            List<Thread> waiting = new ArrayList<>();
            AtomicLong atOnce = new AtomicLong();
            AtomicLong most = new AtomicLong();
            List<String> busy = new CopyOnWriteArrayList<>();
            for (int i = 0; i < 40; i++) {
                String address = "192.0.2." + i / 4;
                waiting.add(new Thread(() -> {
                    try {
                        desk.check(address, () -> {
                            most.accumulateAndGet(atOnce.incrementAndGet(), Math::max);
                            begun.countDown();
                            awaitQuietly(goOn);
                            atOnce.decrementAndGet();
                            return true;
                        });
                    } catch (HashDesk.BusyException e) {
                        busy.add(address);
                    }
                }));
            }
            waiting.forEach(Thread::start);
            begun.await();
            org.assertj.core.api.Assertions.assertThat(busy.size()).isLessThanOrEqualTo(40);
            while (busy.size() < 40 - 17) {
                Thread.onSpinWait();
            }
            goOn.countDown();
            for (Thread thread : waiting) {
                thread.join();
            }
            assertThat(most).hasValue(1);
            assertThat(busy).as("one at work, sixteen in line").hasSize(23);
            assertThat(busy.stream().distinct()).as("two of each address").hasSize(10);
        }
    }

    private static void awaitQuietly(java.util.concurrent.CountDownLatch latch) {
        try {
            latch.await();
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
    }

    /** No sleeping and no absolute time: the ratio of medians, interleaved, so that load of the machine falls on both. */
    @Test
    void aNameThatNobodyHasCostsTheSameTimeAsOneThatSomebodyHas() {
        long[] known = new long[15];
        long[] unknown = new long[15];
        for (int i = -3; i < 15; i++) {
            long a = timed("a.tester", "203.0.113." + (i + 3));
            long b = timed("b.tester", "203.0.113." + (i + 103));
            if (i >= 0) {
                known[i] = a;
                unknown[i] = b;
            }
        }
        Arrays.sort(known);
        Arrays.sort(unknown);
        double ratio = (double) known[7] / unknown[7];
        System.out.printf("median of a known name over that of an unknown one: %.3f%n", ratio);
        assertThat(ratio).isBetween(0.67, 1.5);
    }

    private long timed(String name, String address) {
        long begun = System.nanoTime();
        assertThat(access.signIn(name, "a wrong password", address, "rest")).isInstanceOf(Access.Outcome.Refused.class);
        return System.nanoTime() - begun;
    }

    @Test
    void whatWasTypedAsANameIsNotRecordedUnlessItIsOne() {
        access.signIn("my secret passphrase", "x", HERE, "page");
        access.signIn("a.tester", "x", HERE, "page");
        assertThat(told.toString()).doesNotContain("secret");
        assertThat(told.get(0).about()).isEmpty();
        access.refresh();
        pass(Refusals.WINDOW);
        access.refresh();
        assertThat(told.get(1).about()).isEqualTo("a.tester");
        assertThat(told.get(1).times()).isEqualTo(1);
    }

    @Test
    void aFloodOfRefusalsIsToldAsSumsWithinTheStatedBound() {
        for (int i = 0; i < 5_000; i++) {
            access.refused(new Caller.Anonymous("198.51.100." + i % 250), "GET /api/v1/alarms");
        }
        pass(Refusals.WINDOW);
        access.refresh();
        assertThat(told.size()).isLessThanOrEqualTo(2 * (Refusals.ADDRESSES + 1));
        assertThat(told.stream().mapToLong(Told::times).sum())
                .as("none is lost")
                .isEqualTo(5_000);
        assertThat(told.stream().filter(t -> t.address().isEmpty()))
                .as("beyond the bound")
                .isNotEmpty();
    }

    private String token(String name, Duration lasts, Action... scope) throws IOException {
        Tokens.Made made = Tokens.make(name, Set.of(scope), wall(), wall().plus(lasts));
        assertThat(store.change(a -> a.addToken(made.token(), hand()))).isInstanceOf(Accounts.Outcome.Done.class);
        access.refresh();
        return made.text();
    }

    @Test
    void aTokenIsTakenWithItsScopeUntilItIsOverOrRemoved() throws IOException {
        String text = token("room", Duration.ofHours(1), Action.VIEW, Action.ACKNOWLEDGE);
        assertThat(access.caller(HERE, null, text)).isInstanceOfSatisfying(Caller.Program.class, program -> {
            assertThat(program.name()).isEqualTo("room");
            assertThat(program.scope()).isEqualTo(EnumSet.of(Action.VIEW, Action.ACKNOWLEDGE));
        });
        pass(Duration.ofHours(1));
        assertThat(access.caller(HERE, null, text)).as("over").isInstanceOf(Caller.Anonymous.class);
        String second = token("desk", Duration.ofHours(1), Action.VIEW);
        store.change(a -> a.removeToken("desk", hand()));
        access.refresh();
        assertThat(access.caller(HERE, null, second))
                .as("replayed after its removal")
                .isInstanceOf(Caller.Anonymous.class);
        assertThat(kinds()).containsExactly(Kind.SIGNED_IN, Kind.CALL_REFUSED);
        assertThat(Files.readString(data.resolve("access/users.yaml")))
                .as("nothing that could be used is stored")
                .doesNotContain(text.substring(text.indexOf('.') + 1));
    }

    @Test
    void aTokenWithOneWrongLetterOrOfAnotherNameIsNobody() throws IOException {
        String text = token("room", Duration.ofHours(1), Action.VIEW);
        String other = token("desk", Duration.ofHours(1), Action.VIEW);
        String mixed = text.substring(0, text.indexOf('.')) + other.substring(other.indexOf('.'));
        for (String wrong :
                List.of(text + "x", text.substring(1), "", ".", mixed, text.toUpperCase(java.util.Locale.ROOT))) {
            assertThat(access.caller(HERE, null, wrong)).isInstanceOf(Caller.Anonymous.class);
        }
    }

    @Test
    void aWrongTokenIsNotHelpedByAGoodSession() {
        assertThat(access.caller(HERE, session("a.tester"), "wrong.token")).isInstanceOf(Caller.Anonymous.class);
    }

    @Test
    void theBreakGlassCodeWorksOnceAndItsUseIsSeen() throws IOException {
        String code = Secrets.code();
        store.change(a -> a.breakGlass(PasswordHash.of(code), hand()));
        access.refresh();
        assertThat(access.breakGlassUsed()).isFalse();
        Access.Outcome in = access.signIn(
                "break-glass", code.toLowerCase(java.util.Locale.ROOT).replace("-", " "), HERE, "page");
        assertThat(in).isInstanceOf(Access.Outcome.Granted.class);
        assertThat(access.breakGlassUsed()).isTrue();
        String session = ((Access.Outcome.Granted) in).session();
        assertThat(access.table().answer(by(session), Action.RELEASE_KEEP_AWAY)).isEqualTo(AccessTable.Answer.ALLOWED);
        assertThat(access.signIn("break-glass", code, HERE, "page")).isInstanceOf(Access.Outcome.Refused.class);
        assertThat(access.accounts().journal()).extracting(Accounts.Entry::kind).endsWith(Kind.BREAK_GLASS_USED);

        pass(Duration.ofSeconds(1));
        store.change(a -> a.breakGlass(PasswordHash.of(Secrets.code()), hand()));
        access.refresh();
        assertThat(access.breakGlassUsed()).isFalse();
        assertThat(by(session)).as("the session of the code before").isInstanceOf(Caller.Anonymous.class);
    }

    @Test
    void theSetUpCodeMakesOneInstallerAndCannotBeGuessed() throws IOException {
        Files.delete(data.resolve("access/users.yaml"));
        access.close();
        access = access(AccessRules.DEFAULT);
        String code = java.util.Objects.requireNonNull(access.newSetUpCode());
        assertThat(code).matches("([A-HJ-NP-Z2-9]{5}-){4}[A-HJ-NP-Z2-9]{5}");
        int looked = 0;
        for (int i = 0; i < 1_000; i++) {
            Access.Outcome outcome = access.setUp(Secrets.code(), "m.allory", PASSWORD, "198.51.100." + i % 2, "rest");
            assertThat(outcome).isNotInstanceOf(Access.Outcome.Granted.class);
            looked += outcome instanceof Access.Outcome.Refused ? 1 : 0;
        }
        assertThat(looked).as("guesses of two addresses that were looked at").isEqualTo(10);
        assertThat(access.setUp(code, "i.nstaller", "too short", HERE, "page"))
                .isInstanceOf(Access.Outcome.NotTaken.class);
        assertThat(access.setUp(code, "i.nstaller", PASSWORD, HERE, "page"))
                .isInstanceOfSatisfying(
                        Access.Outcome.Granted.class,
                        granted -> assertThat(granted.role()).isEqualTo("installer"));
        assertThat(access.setUp(code, "second", PASSWORD, HERE, "page")).isInstanceOf(Access.Outcome.Refused.class);
        assertThat(access.accounts().users()).containsOnlyKeys("i.nstaller");
        assertThat(access.newSetUpCode()).isNull();
    }

    @Test
    void aDamagedFileLetsNobodySetUpAnewAndThoseKnownGoOn() throws IOException {
        String session = session("a.tester");
        Path file = data.resolve("access/users.yaml");
        Files.writeString(file, Files.readString(file).replace("users_file: 1", "users_file: 7"));
        access.refresh();
        assertThat(by(session)).isInstanceOf(Caller.Person.class);
        assertThat(access.newSetUpCode()).isNull();
        try (Access afterRestart = access(AccessRules.DEFAULT)) {
            assertThat(afterRestart.newSetUpCode()).isNull();
            assertThat(afterRestart.signIn("a.tester", PASSWORD, HERE, "page"))
                    .isInstanceOf(Access.Outcome.Refused.class);
        }
    }

    @Test
    void aPersonChangesTheOwnPasswordWithTheOldOneAndGoesOnInANewSession() {
        String session = session("a.tester");
        Caller.Person person = (Caller.Person) by(session);
        assertThat(access.changePassword(person, "wrong", "another long password", "page"))
                .isInstanceOf(Access.Outcome.Refused.class);
        pass(Duration.ofSeconds(1));
        Access.Outcome changed = access.changePassword(person, PASSWORD, "another long password", "page");
        assertThat(changed).isInstanceOf(Access.Outcome.Granted.class);
        assertThat(by(session)).isInstanceOf(Caller.Anonymous.class);
        assertThat(by(((Access.Outcome.Granted) changed).session())).isInstanceOf(Caller.Person.class);
        assertThat(access.signIn("a.tester", PASSWORD, ELSEWHERE, "page")).isInstanceOf(Access.Outcome.Refused.class);
    }
}
