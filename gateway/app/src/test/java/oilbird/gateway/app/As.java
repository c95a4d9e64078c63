package oilbird.gateway.app;

import io.restassured.RestAssured;
import io.restassured.http.ContentType;
import io.restassured.response.Response;
import io.restassured.specification.RequestSpecification;
import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Set;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import oilbird.gateway.access.AccountStore;
import oilbird.gateway.access.Accounts;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.PasswordHash;
import oilbird.gateway.access.Roles;
import oilbird.gateway.access.Tokens;
import org.eclipse.microprofile.config.ConfigProvider;

/** Requests of the tests' users and programs: the one place that makes them and signs for them. */
final class As {
    /** Of every user of the tests. */
    static final String PASSWORD = "tests have long passwords";

    /** The program that most tests are: it may do whatever a token may. */
    static final String PROGRAM = "tests";

    private static final String TOKEN = "oilbird.test-token.";

    private As() {}

    /**
     * Makes a user of each role, named after it, and tokens.
     *
     * @return settings from which the tests take the tokens.
     */
    static Map<String, String> prepare(Path data) throws IOException {
        AccountStore store = new AccountStore(data);
        Accounts.Hand hand = new Accounts.Hand(new Actor("tests", "command"), "", Instant.now());
        PasswordHash password = PasswordHash.of(PASSWORD);
        for (String role : Roles.DEFAULT.actions().keySet()) {
            done(store.change(a -> a.add(role + "-user", role, password, false, Kind.USER_ADDED, hand)));
        }
        Map<String, String> settings = new LinkedHashMap<>();
        settings.put(PROGRAM, token(store, PROGRAM, EnumSet.copyOf(Action.grantableToPrograms()), hand));
        for (Action action : Action.grantableToPrograms()) {
            Set<Action> others = EnumSet.copyOf(Action.grantableToPrograms());
            others.remove(action);
            settings.put("no-" + action.written(), token(store, "no-" + action.written(), others, hand));
        }
        Accounts.Hand longAgo = new Accounts.Hand(hand.by(), "", Instant.now().minus(Duration.ofDays(2)));
        settings.put("over", token(store, "over", EnumSet.copyOf(Action.grantableToPrograms()), longAgo));
        Map<String, String> named = new LinkedHashMap<>();
        settings.forEach((name, text) -> named.put(TOKEN + name, text));
        return named;
    }

    private static String token(AccountStore store, String name, Set<Action> scope, Accounts.Hand hand)
            throws IOException {
        Tokens.Made made = Tokens.make(name, scope, hand.at(), hand.at().plus(Duration.ofDays(1)));
        done(store.change(a -> a.addToken(made.token(), hand)));
        return made.text();
    }

    private static void done(Accounts.Outcome outcome) {
        if (outcome instanceof Accounts.Outcome.Refused refused) {
            throw new IllegalStateException(refused.why());
        }
    }

    /** A request of the program {@link #PROGRAM}. */
    static RequestSpecification given() {
        return program(PROGRAM);
    }

    static RequestSpecification program(String name) {
        return RestAssured.given().header("Authorization", bearer(name));
    }

    static String bearer(String name) {
        return "Bearer " + ConfigProvider.getConfig().getValue(TOKEN + name, String.class);
    }

    static RequestSpecification nobody() {
        return RestAssured.given();
    }

    /** The cookie of a new session of the user of a role. */
    static String session(String role) {
        Response answer = nobody().contentType(ContentType.JSON)
                .body(Map.of("name", role + "-user", "password", PASSWORD))
                .post("/api/v1/session");
        if (answer.statusCode() != 200) {
            throw new IllegalStateException(answer.asString());
        }
        return answer.header("Set-Cookie").replaceAll(";.*", "");
    }

    /** A request of the gateway's own page, with the cookie of a session. */
    static RequestSpecification page(String cookie) {
        return nobody().header("Cookie", cookie).header("Sec-Fetch-Site", "same-origin");
    }
}
