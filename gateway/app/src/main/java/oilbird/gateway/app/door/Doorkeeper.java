package oilbird.gateway.app.door;

import io.quarkus.vertx.http.runtime.filters.Filters;
import io.vertx.core.http.Cookie;
import io.vertx.core.http.HttpMethod;
import io.vertx.core.http.HttpServerRequest;
import io.vertx.core.net.HostAndPort;
import io.vertx.ext.web.RoutingContext;
import jakarta.enterprise.context.ApplicationScoped;
import jakarta.enterprise.event.Observes;
import java.net.URLEncoder;
import java.nio.charset.StandardCharsets;
import java.util.Set;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.AccessTable;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Caller;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.ProblemForm;
import oilbird.gateway.contract.Written;
import org.jspecify.annotations.Nullable;

/**
 * Stands before everything that is asked over HTTP: finds out who asks, and lets nobody further who has proved nothing,
 * but for the few addresses that are for signing in. What a caller may do behind it {@link TableFilter} decides for
 * REST; pages, the description of the interface and all else are for whoever may look.
 */
@ApplicationScoped
public class Doorkeeper {
    static final String CALLER = "oilbird.caller";
    static final String SESSION = "oilbird.session";

    private static final int PRIORITY = 1_000;
    private static final String REST = "/api/v1/";
    private static final String DESCRIPTION = "/api/v1/openapi";
    private static final String YEAR = "max-age=31536000";
    private static final Set<String> OPEN = Set.of(
            "/api/v1/session",
            "/api/v1/set-up",
            "/sign-in.html",
            "/set-up.html",
            "/css/page.css",
            "/icon.svg",
            "/js/say.js",
            "/js/sign-in.js",
            "/js/set-up.js");

    private final Access access;

    public Doorkeeper(Gateway gateway) {
        this.access = gateway.access();
    }

    void stand(@Observes Filters filters) {
        filters.register(this::before, PRIORITY);
    }

    private void before(RoutingContext asked) {
        HttpServerRequest request = asked.request();
        if (request.isSSL()) {
            asked.response().putHeader("Strict-Transport-Security", YEAR);
        }
        String address = request.remoteAddress() == null
                ? ""
                : String.valueOf(request.remoteAddress().hostAddress());
        String bearer = bearer(request);
        String session = session(asked);
        Caller caller = access.caller(address, session, bearer);
        asked.put(CALLER, caller);
        boolean changes = !request.method().equals(HttpMethod.GET)
                && !request.method().equals(HttpMethod.HEAD)
                && !request.method().equals(HttpMethod.OPTIONS);
        if (changes && bearer == null && foreign(request, session != null)) {
            access.refused(caller, "asked from a page of somebody else: " + request.method() + " " + shown(asked));
            refuse(
                    asked,
                    403,
                    "foreign-page",
                    "Asked from elsewhere",
                    "this came from a page that is not the gateway's");
            return;
        }
        if (session != null && caller instanceof Caller.Person) {
            asked.put(SESSION, session);
            if (changes || "navigate".equals(request.getHeader("Sec-Fetch-Mode"))) {
                access.active(session);
            }
        }
        String path = asked.normalizedPath();
        if (OPEN.contains(path)) {
            asked.next();
            return;
        }
        if (caller instanceof Caller.Anonymous) {
            turnAway(asked, caller, path, session != null || bearer != null);
            return;
        }
        boolean decidedThere = path.startsWith(REST) && !path.startsWith(DESCRIPTION);
        if (!decidedThere && access.table().answer(caller, Action.VIEW) != AccessTable.Answer.ALLOWED) {
            access.refused(caller, request.method() + " " + shown(asked));
            refuse(asked, 403, "forbidden", "Not allowed", "this is not among what " + said(caller) + " may do");
            return;
        }
        asked.next();
    }

    private void turnAway(RoutingContext asked, Caller caller, String path, boolean claimed) {
        boolean page = path.equals("/") || path.endsWith(".html") && !path.equals("/parts.html");
        if (page && asked.request().method().equals(HttpMethod.GET)) {
            String query = asked.request().query();
            String to = path.substring(1) + (query == null ? "" : "?" + query);
            asked.response()
                    .setStatusCode(303)
                    .putHeader("Cache-Control", "no-store")
                    .putHeader(
                            "Location",
                            "sign-in.html"
                                    + (to.isEmpty() ? "" : "?to=" + URLEncoder.encode(to, StandardCharsets.UTF_8)))
                    .end();
            return;
        }
        if (!claimed) {
            access.refused(caller, "without signing in: " + asked.request().method() + " " + shown(asked));
        }
        asked.response().putHeader("WWW-Authenticate", "Bearer");
        refuse(
                asked,
                401,
                "sign-in-first",
                "Sign in first",
                "sign in at the gateway's page, or send a token: Authorization: Bearer TOKEN");
    }

    /** Without the query, which may hold anything. */
    private static String shown(RoutingContext asked) {
        String path = asked.normalizedPath();
        return path.length() <= 120 ? path : path.substring(0, 120);
    }

    static String said(Caller caller) {
        if (caller instanceof Caller.Person person) {
            return person.name() + " with the role " + person.role();
        }
        return caller instanceof Caller.Program program ? "the token " + program.name() : "nobody";
    }

    static void refuse(RoutingContext asked, int status, String type, String title, String detail) {
        asked.response()
                .setStatusCode(status)
                .putHeader("Content-Type", ProblemForm.MEDIA_TYPE)
                .putHeader("Cache-Control", "no-store")
                .end(io.vertx.core.buffer.Buffer.buffer(Written.json(ProblemForm.plain(status, type, title, detail))));
    }

    static @Nullable String bearer(HttpServerRequest request) {
        String header = request.getHeader("Authorization");
        if (header == null) {
            return null;
        }
        // Whatever else is sent there is no token, and counts as a wrong one.
        return header.regionMatches(true, 0, "Bearer ", 0, 7)
                ? header.substring(7).strip()
                : "";
    }

    /** The session that the browser sent, whether there is such a one or not. */
    static @Nullable String session(RoutingContext asked) {
        Cookie cookie = asked.request().getCookie(cookieName(asked));
        return cookie == null ? null : cookie.getValue();
    }

    /** Cookies do not tell ports apart (RFC 6265, 8.5): two gateways on one machine have two names. */
    public static String cookieName(RoutingContext asked) {
        int port = asked.request().localAddress().port();
        return asked.request().isSSL() ? "__Host-oilbird-" + port : "oilbird-" + port;
    }

    /**
     * Whether a request that changes something was made by a page of somebody else. A browser says where it comes from;
     * where neither header is there, it was no browser's page, and a session is not taken from it.
     */
    private static boolean foreign(HttpServerRequest request, boolean withSession) {
        String site = request.getHeader("Sec-Fetch-Site");
        if (site != null) {
            return !site.equals("same-origin");
        }
        String origin = request.getHeader("Origin");
        if (origin != null) {
            HostAndPort own = request.authority();
            return own == null
                    || !origin.equals((request.isSSL() ? "https://" : "http://")
                            + own.host()
                            + (own.port() < 0 ? "" : ":" + own.port()));
        }
        return withSession;
    }
}
