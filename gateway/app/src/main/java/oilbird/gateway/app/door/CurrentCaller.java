package oilbird.gateway.app.door;

import io.quarkus.vertx.http.runtime.CurrentVertxRequest;
import io.vertx.ext.web.RoutingContext;
import jakarta.inject.Singleton;
import oilbird.gateway.access.Caller;
import org.jspecify.annotations.Nullable;

/** Who makes the present request, as {@link Doorkeeper} found out. */
@Singleton
public class CurrentCaller {
    private final CurrentVertxRequest request;

    public CurrentCaller(CurrentVertxRequest request) {
        this.request = request;
    }

    public RoutingContext asked() {
        return request.getCurrent();
    }

    public Caller get() {
        Caller caller = asked().get(Doorkeeper.CALLER);
        // Nothing comes in but by the doorkeeper; what did all the same is nobody's.
        return caller == null ? new Caller.Anonymous("") : caller;
    }

    /** The id of the session by which the present request is a person's; null for all others. */
    public @Nullable String session() {
        return asked().get(Doorkeeper.SESSION);
    }

    /** The token by which the present request is a program's; null for all others. */
    public @Nullable String bearer() {
        return Doorkeeper.bearer(asked().request());
    }

    /** {@code page} where a browser says that the gateway's own page asks, otherwise {@code rest}. */
    public String door() {
        return "same-origin".equals(asked().request().getHeader("Sec-Fetch-Site")) ? "page" : "rest";
    }
}
