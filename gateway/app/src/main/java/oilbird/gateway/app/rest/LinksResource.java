package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import java.time.Duration;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.LinkTestForm;
import oilbird.gateway.contract.LinkTestedForm;
import oilbird.gateway.contract.LinksForm;
import oilbird.gateway.contract.OneLinkForm;
import oilbird.gateway.contract.Written;
import oilbird.gateway.engine.outbox.LinkState;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.station.LinkSettings;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/** The links to other systems: how they stand, and a test message over one. */
@Path("/api/v1/links")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
public class LinksResource {
    private static final LinkTestForm NOTHING = new LinkTestForm(null, null);
    private static final Duration USUAL_WAIT = Duration.ofSeconds(15);
    private static final Duration LONGEST_WAIT = Duration.ofMinutes(1);

    private final Gateway gateway;
    private final Asking asking;

    public LinksResource(Gateway gateway, Asking asking) {
        this.gateway = gateway;
        this.asking = asking;
    }

    @GET
    @Needs(Action.VIEW)
    public LinksForm links() {
        return new LinksForm(
                LinksForm.FORM,
                gateway.forms().station(),
                Written.time(gateway.clock().now()),
                gateway.engine().links().stream().map(this::form).toList());
    }

    @GET
    @Path("{link}")
    @Needs(Action.VIEW)
    public OneLinkForm link(@PathParam("link") String link) {
        return new OneLinkForm(
                OneLinkForm.FORM,
                gateway.forms().station(),
                Written.time(gateway.clock().now()),
                known(link));
    }

    /**
     * Sends a message that is marked as a test, through the same queue as every event, and says whether the other side has
     * confirmed it.
     */
    @POST
    @Path("{link}/test")
    @Needs(Action.TEST_POINTS)
    public LinkTestedForm test(@PathParam("link") String link, @Nullable LinkTestForm form) {
        LinkTestForm asked = form == null ? NOTHING : form;
        known(link);
        Duration within = asked.within() == null ? USUAL_WAIT : Asking.duration("within", asked.within());
        if (within.isNegative() || within.compareTo(LONGEST_WAIT) > 0) {
            throw Problems.wrong("within", "`within` is at most a minute, not `" + asked.within() + "`");
        }
        RecordedEvent message = asking.carryOut(new StationInput.TestLink(link, asking.by(asked.by()), asking.now()))
                .get(0);
        CompletableFuture<Boolean> outcome = gateway.engine()
                .whenConfirmed(link, message.position())
                .orElseThrow(() -> Problems.missing("there is no link `" + link + "`"));
        long began = System.nanoTime();
        String words;
        boolean confirmed = false;
        try {
            confirmed = outcome.get(within.toMillis(), TimeUnit.MILLISECONDS);
            words = confirmed
                    ? "The other side has confirmed the test message."
                    : "The other side refused the test message for good.";
        } catch (TimeoutException | ExecutionException late) {
            words = "The other side has not confirmed the test message within " + within.toSeconds()
                    + " s; it goes on waiting with the events before it.";
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            words = "The gateway is stopping.";
        }
        return new LinkTestedForm(
                LinkTestedForm.FORM,
                gateway.forms().station(),
                message.event().id().toString(),
                confirmed,
                TimeUnit.NANOSECONDS.toMillis(System.nanoTime() - began),
                words,
                known(link));
    }

    private LinksForm.LinkForm known(String link) {
        return gateway.engine().links().stream()
                .filter(state -> state.link().equals(link))
                .findFirst()
                .map(this::form)
                .orElseThrow(() -> Problems.missing("there is no link `" + link + "`"));
    }

    private LinksForm.LinkForm form(LinkState state) {
        LinkSettings settings = gateway.station().links().stream()
                .filter(link -> link.id().equals(state.link()))
                .findFirst()
                .orElse(null);
        return new LinksForm.LinkForm(
                state.link(),
                settings == null ? state.link() : settings.name(),
                settings == null ? "" : settings.kind(),
                Written.name(state.condition()),
                state.confirmedEvent(),
                time(state.confirmedAt()),
                state.waiting(),
                time(state.oldestWaitingSince()),
                state.skipped(),
                state.lastError(),
                state.tries(),
                time(state.nextTryAt()),
                state.bytesToday(),
                state.bytesADay() == 0 ? null : state.bytesADay(),
                state.readingsHeld());
    }

    private static @Nullable String time(@Nullable Moment at) {
        return at == null ? null : Written.time(at);
    }
}
