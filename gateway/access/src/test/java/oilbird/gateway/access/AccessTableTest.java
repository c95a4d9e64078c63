package oilbird.gateway.access;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import oilbird.gateway.access.AccessTable.Answer;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

class AccessTableTest {
    private static final AccessTable TABLE = new AccessTable(Roles.DEFAULT);

    private static Caller person(String role, boolean locked) {
        return new Caller.Person("a.tester", role, "s", locked, "192.0.2.1");
    }

    /**
     * The reference's summary of roles (viewer; operator: acknowledge, comment, shelve; engineer: limits and logic;
     * security administration apart); the rest is our decision.
     */
    @ParameterizedTest
    @CsvSource({
        "viewer,    VIEW,               true",
        "viewer,    ACKNOWLEDGE,        false",
        "operator,  ACKNOWLEDGE,        true",
        "operator,  COMMENT,            true",
        "operator,  SHELVE,             true",
        "operator,  RELEASE_KEEP_AWAY,  true",
        "operator,  LOAD_RULES,         false",
        "operator,  MANAGE_USERS,       false",
        "engineer,  LOAD_RULES,         true",
        "engineer,  ENTER_SAMPLES,      true",
        "engineer,  RELEASE_KEEP_AWAY,  false",
        "engineer,  MANAGE_USERS,       false",
        "installer, MANAGE_USERS,       true",
        "installer, RELEASE_CONNECTION, true",
        "installer, RELEASE_KEEP_AWAY,  false",
        "break-glass, RELEASE_KEEP_AWAY, true",
        "break-glass, MANAGE_USERS,     true",
        "nobody-knows-it, VIEW,         false"
    })
    void theDefaultRolesMayWhatTheirNamesSay(String role, Action action, boolean may) {
        assertThat(TABLE.answer(person(role, false), action) == Answer.ALLOWED).isEqualTo(may);
    }

    @Test
    void whatNamesNoActionIsRefusedToEverybody() {
        for (Caller caller : List.of(
                new Caller.Anonymous(""),
                person(Roles.BREAK_GLASS, false),
                new Caller.Program("room", EnumSet.allOf(Action.class), ""))) {
            assertThat(TABLE.answer(caller, null)).isEqualTo(Answer.FORBIDDEN);
        }
    }

    @ParameterizedTest
    @EnumSource(Action.class)
    void whoHasProvedNothingMayOnlySignIn(Action action) {
        assertThat(TABLE.answer(new Caller.Anonymous(""), action))
                .isEqualTo(action == Action.SIGN_IN ? Answer.ALLOWED : Answer.SIGN_IN_FIRST);
    }

    @ParameterizedTest
    @EnumSource(Action.class)
    void anIdleSessionOnlyLooks(Action action) {
        assertThat(TABLE.answer(person(Roles.BREAK_GLASS, true), action))
                .isEqualTo(action == Action.SIGN_IN || action == Action.VIEW ? Answer.ALLOWED : Answer.SIGN_IN_AGAIN);
    }

    @ParameterizedTest
    @EnumSource(Action.class)
    void aTokenDoesWhatIsInItsScopeAndNeverManagesUsers(Action action) {
        Caller all = new Caller.Program("room", EnumSet.allOf(Action.class), "");
        boolean never = action == Action.MANAGE_USERS || action == Action.OWN_PASSWORD;
        assertThat(TABLE.answer(all, action)).isEqualTo(never ? Answer.FORBIDDEN : Answer.ALLOWED);
        Caller none = new Caller.Program("room", Set.of(), "");
        assertThat(TABLE.answer(none, action)).isEqualTo(action == Action.SIGN_IN ? Answer.ALLOWED : Answer.FORBIDDEN);
    }

    private static List<String> mistakes(String text) {
        return AccessRules.read(text).problems().stream().map(Problem::toString).toList();
    }

    @Test
    void theRoleMapOfAStationReplacesTheDefaultOne() {
        AccessRules rules = AccessRules.read("""
                access: 1
                roles:
                  watcher: [view]
                  field-technician: [view, comment, maintain, find-faults]
                  head: [view, manage-users]
                sessions: {idle: 10 min, absolute: 8 h}
                passwords: {shortest: 16}
                notice: For authorised persons only.
                """).result().orElseThrow();
        assertThat(rules.roles().may("field-technician", Action.MAINTAIN)).isTrue();
        assertThat(rules.roles().may("field-technician", Action.SHELVE)).isFalse();
        assertThat(rules.roles().knows("operator")).isFalse();
        assertThat(rules.idle()).hasMinutes(10);
        assertThat(rules.shortestPassword()).isEqualTo(16);
        assertThat(rules.notice()).isEqualTo("For authorised persons only.");
    }

    @Test
    void mistakesAreToldWithLineColumnAndRemedy() {
        assertThat(mistakes("access: 1\nroles:\n  operator: [view, acknowlege]\n  head: [manage-users]\n"))
                .singleElement()
                .asString()
                .startsWith("access.yaml:3:20: error: ")
                .contains("acknowledge");
        assertThat(mistakes("access: 1\nroles:\n  operator: [view]\n"))
                .singleElement()
                .asString()
                .startsWith("access.yaml:3:3: error: no role may manage-users");
        assertThat(mistakes("access: 1\nroles:\n  break-glass: [view]\n  head: [manage-users]\n"))
                .singleElement()
                .asString()
                .startsWith("access.yaml:3:3: error: `break-glass`");
        assertThat(mistakes("access: 1\nsessions: {idle: 1 h, absolute: 30 min}\n"))
                .singleElement()
                .asString()
                .startsWith("access.yaml:2:33: error: ");
        assertThat(mistakes("access: 1\nusers: []\n"))
                .singleElement()
                .asString()
                .startsWith("access.yaml:2:1: error: ");
    }
}
