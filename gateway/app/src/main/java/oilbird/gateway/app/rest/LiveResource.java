package oilbird.gateway.app.rest;

import io.smallrye.mutiny.Multi;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.HeaderParam;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.QueryParam;
import jakarta.ws.rs.core.Context;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.sse.OutboundSseEvent;
import jakarta.ws.rs.sse.Sse;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.live.LiveChannel;
import org.jspecify.annotations.Nullable;

/** Everything that happens, as it happens: server-sent events {@code alarm}, {@code notice}, {@code
 * diagnosis}, {@code keep-away}, {@code access}, {@code alive}, {@code gap}. */
@Path("/api/v1/live")
public class LiveResource {
    private final LiveChannel channel;
    private final Listeners current;

    public LiveResource(LiveChannel channel, Listeners current) {
        this.channel = channel;
        this.current = current;
    }

    /**
     * @param lastEventId what a browser sends by itself when it connects anew.
     * @param after the same for a client that cannot set a header.
     */
    @GET
    @Produces(MediaType.SERVER_SENT_EVENTS)
    @Needs(Action.VIEW)
    public Multi<OutboundSseEvent> live(
            @Context Sse sse,
            @HeaderParam("Last-Event-ID") @Nullable String lastEventId,
            @QueryParam("after") @Nullable String after) {
        return channel.listen(sse, lastEventId == null ? after : lastEventId, current.listening());
    }
}
