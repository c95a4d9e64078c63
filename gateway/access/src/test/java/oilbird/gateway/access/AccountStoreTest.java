package oilbird.gateway.access;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.stream.IntStream;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class AccountStoreTest {
    private static final Instant AT = Instant.parse("2026-11-30T06:00:00Z");
    private static final PasswordHash PASSWORD = PasswordHash.ofNobody();

    @TempDir
    Path data;

    private static Accounts.Hand hand(int seconds) {
        return new Accounts.Hand(new Actor("integrator", "command"), "", AT.plusSeconds(seconds));
    }

    private static Accounts.Token token(String name, Action... scope) {
        return new Accounts.Token(
                name, "0123456789abcdef", Secrets.digest("x"), Set.of(scope), AT, AT.plus(Duration.ofDays(1)));
    }

    private static Accounts done(Accounts.Outcome outcome) {
        assertThat(outcome).isInstanceOf(Accounts.Outcome.Done.class);
        return ((Accounts.Outcome.Done) outcome).next();
    }

    private static String why(Accounts.Outcome outcome) {
        assertThat(outcome).isInstanceOf(Accounts.Outcome.Refused.class);
        return ((Accounts.Outcome.Refused) outcome).why();
    }

    @Test
    void everythingIsReadAsItWasWrittenAndOnlyItsOwnerMayReadIt() throws IOException {
        AccountStore store = new AccountStore(data);
        done(store.change(a -> a.add("a.tester", "operator", PASSWORD, false, Kind.USER_ADDED, hand(0))));
        done(store.change(a -> a.add("b.tester", "engineer", PASSWORD, false, Kind.USER_ADDED, hand(1))));
        done(store.change(a -> a.role("b.tester", "installer", hand(2))));
        done(store.change(a -> a.addToken(token("room", Action.VIEW, Action.ACKNOWLEDGE), hand(3))));
        done(store.change(a -> a.breakGlass(PASSWORD, hand(4))));
        done(store.change(a -> a.spendBreakGlass(hand(5))));
        done(store.change(a -> a.remove("a.tester", hand(6))));
        Accounts written = done(store.change(a -> a.roles(Roles.DEFAULT, hand(7))));

        assertThat(new AccountStore(data).read().value()).isEqualTo(written);
        assertThat(written.journal())
                .extracting(Accounts.Entry::kind)
                .containsExactly(
                        Kind.USER_ADDED,
                        Kind.USER_ADDED,
                        Kind.ROLE_CHANGED,
                        Kind.TOKEN_ADDED,
                        Kind.BREAK_GLASS_MADE,
                        Kind.BREAK_GLASS_USED,
                        Kind.USER_REMOVED,
                        Kind.ROLES_CHANGED);
        assertThat(PosixFilePermissions.toString(Files.getPosixFilePermissions(data.resolve("access"))))
                .isEqualTo("rwx------");
        try (var files = Files.list(data.resolve("access"))) {
            for (Path file : files.toList()) {
                assertThat(PosixFilePermissions.toString(Files.getPosixFilePermissions(file)))
                        .as(file.toString())
                        .isEqualTo("rw-------");
            }
        }
    }

    @Test
    void entriesAreNumberedInOrderAndNeverAgainAfterABackupWasRestored() throws IOException {
        AccountStore store = new AccountStore(data);
        Path file = data.resolve("access/users.yaml");
        done(store.change(a -> a.add("a.tester", "operator", PASSWORD, false, Kind.USER_ADDED, hand(0))));
        String backup = Files.readString(file);
        long lost = done(store.change(a -> a.role("a.tester", "viewer", hand(1))))
                .journal()
                .get(1)
                .number();
        Files.writeString(file, backup);
        Accounts restored = done(store.change(a -> a.role("a.tester", "engineer", hand(60))));
        assertThat(restored.journal()).hasSize(2);
        assertThat(restored.journal().get(1).number()).isGreaterThan(lost);
        assertThat(restored.journal().get(1).previous())
                .isEqualTo(restored.journal().get(0).number());
        Accounts sameTime = done(store.change(a -> a.role("a.tester", "viewer", hand(60))));
        assertThat(sameTime.journal().get(2).number())
                .isGreaterThan(sameTime.journal().get(1).number());
    }

    @Test
    void aNameIsNotGivenToAnotherPerson() throws IOException {
        AccountStore store = new AccountStore(data);
        done(store.change(a -> a.add("a.tester", "operator", PASSWORD, false, Kind.USER_ADDED, hand(0))));
        done(store.change(a -> a.remove("a.tester", hand(1))));
        assertThat(why(store.change(a -> a.add("a.tester", "viewer", PASSWORD, false, Kind.USER_ADDED, hand(2)))))
                .contains("--same-person");
        done(store.change(a -> a.add("a.tester", "viewer", PASSWORD, true, Kind.USER_ADDED, hand(2))));
    }

    @Test
    void namesThatTheRecordCouldMixUpAreRefused() {
        for (String name : List.of("A.Tester", "x", "a tester", "../etc", "", "break-glass", "ä.tester")) {
            why(Accounts.NONE.add(name, "viewer", PASSWORD, false, Kind.USER_ADDED, hand(0)));
        }
        for (String name : List.of("page", "rest", "rule", "Room", "")) {
            why(Accounts.NONE.addToken(token(name, Action.VIEW), hand(0)));
        }
        Accounts one = done(Accounts.NONE.add("room", "viewer", PASSWORD, false, Kind.USER_ADDED, hand(0)));
        assertThat(why(one.addToken(token("room", Action.VIEW), hand(1)))).contains("already");
    }

    @Test
    void noTokenManagesUsersOrOutlivesItsTime() {
        assertThat(why(Accounts.NONE.addToken(token("room", Action.MANAGE_USERS), hand(0))))
                .contains("scope");
        assertThat(why(Accounts.NONE.addToken(token("room", Action.VIEW), hand(2 * 86_400))))
                .contains("over");
    }

    @Test
    void aFileWithMistakesIsToldByPlaceAndNeverTakenForAnEmptyOneNorWrittenOver() throws IOException {
        AccountStore store = new AccountStore(data);
        done(store.change(a -> a.add("a.tester", "operator", PASSWORD, false, Kind.USER_ADDED, hand(0))));
        Path file = data.resolve("access/users.yaml");
        String damaged = Files.readString(file).replace("$argon2id", "$argon2xy");
        Files.writeString(file, damaged);
        assertThat(store.read().value()).isNull();
        assertThat(store.read().problems())
                .singleElement()
                .satisfies(p ->
                        assertThat(p.toString()).matches("users\\.yaml:4:\\d+: error: this is no Argon2id hash.*"));
        assertThatThrownBy(() -> store.change(a -> a.role("a.tester", "viewer", hand(1))))
                .isInstanceOf(IOException.class)
                .hasMessageContaining("users.yaml:4");
        assertThat(Files.readString(file)).isEqualTo(damaged);
    }

    @Test
    void changesAtOnceAreAllKept() throws IOException {
        AccountStore store = new AccountStore(data);
        CompletableFuture<?>[] all = IntStream.range(0, 20)
                .mapToObj(i -> CompletableFuture.runAsync(() -> {
                    try {
                        done(store.change(a -> a.add("user" + i, "viewer", PASSWORD, false, Kind.USER_ADDED, hand(i))));
                    } catch (IOException e) {
                        throw new IllegalStateException(e);
                    }
                }))
                .toArray(CompletableFuture<?>[]::new);
        CompletableFuture.allOf(all).join();
        Accounts accounts = store.read().result().orElseThrow();
        assertThat(accounts.users()).hasSize(20);
        assertThat(accounts.journal().stream().map(Accounts.Entry::number))
                .doesNotHaveDuplicates()
                .isSorted()
                .hasSize(20);
    }

    @Test
    void theJournalKeepsTheNewestThousandAndSaysWhatCameBefore() {
        Accounts accounts = done(Accounts.NONE.add("a.tester", "viewer", PASSWORD, false, Kind.USER_ADDED, hand(0)));
        for (int i = 0; i < 1_200; i++) {
            accounts = done(accounts.signOut("a.tester", hand(i + 1)));
        }
        assertThat(accounts.journal()).hasSize(1_000);
        assertThat(accounts.journal().get(0).previous()).isPositive();
    }

    @Test
    void secretsThatOthersCouldReadAreTightenedAndTold() throws IOException {
        Path secrets = Files.createDirectories(data.resolve("secrets"));
        Path open = Files.writeString(secrets.resolve("room.password"), "x");
        Files.setPosixFilePermissions(secrets, PosixFilePermissions.fromString("rwx------"));
        Files.setPosixFilePermissions(open, PosixFilePermissions.fromString("rw-r--r--"));
        List<OwnerOnly.Exposed> exposed = OwnerOnly.tighten(List.of(secrets, data.resolve("no-such")));
        assertThat(exposed).singleElement().satisfies(e -> {
            assertThat(e.file()).isEqualTo(open);
            assertThat(e.tightened()).isTrue();
            assertThat(e.was()).isEqualTo("rw-r--r--");
        });
        assertThat(PosixFilePermissions.toString(Files.getPosixFilePermissions(open)))
                .isEqualTo("rw-------");
        assertThat(OwnerOnly.tighten(List.of(secrets))).isEmpty();
    }
}
