package oilbird.gateway.app.rest;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.HeaderParam;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.QueryParam;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import java.io.IOException;
import java.io.InputStream;
import java.util.List;
import oilbird.alarm.station.StationView;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.DevicesForm;
import oilbird.gateway.contract.EventForm;
import oilbird.gateway.contract.HealthForm;
import oilbird.gateway.contract.ReadingsForm;
import oilbird.gateway.contract.RecordPageForm;
import oilbird.gateway.contract.Written;
import oilbird.gateway.engine.outbox.LinkState;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.WriterStatus;
import oilbird.gateway.modbus.DeviceStatus;
import oilbird.gateway.opcua.ServerStatus;
import org.jspecify.annotations.Nullable;

/** What needs someone, what the devices say, what happened, and whether the gateway works. */
@Path("/api/v1")
@Produces(MediaType.APPLICATION_JSON)
public class StationResource {
    private static final int LONGEST_PAGE = 1_000;

    private final Gateway gateway;
    private final NeedsSomeone needsSomeone;

    public StationResource(Gateway gateway, NeedsSomeone needsSomeone) {
        this.gateway = gateway;
        this.needsSomeone = needsSomeone;
    }

    /** Answers 304 while nothing has changed since the picture that {@code If-None-Match} names. */
    @GET
    @Path("needs-someone")
    public Response needsSomeone(@HeaderParam(HttpHeaders.IF_NONE_MATCH) @Nullable String seen) {
        NeedsSomeone.Picture picture = needsSomeone.picture();
        if (picture.tag().equals(seen)) {
            return Response.notModified()
                    .header(HttpHeaders.ETAG, picture.tag())
                    .build();
        }
        return Response.ok(picture.json())
                .header(HttpHeaders.ETAG, picture.tag())
                .header(HttpHeaders.CACHE_CONTROL, "no-cache")
                .build();
    }

    @GET
    @Path("devices")
    public DevicesForm devices() {
        return gateway.forms().devices(gateway.present().view());
    }

    @GET
    @Path("devices/{device}")
    public ReadingsForm readings(@PathParam("device") String device) {
        return gateway.forms()
                .readings(device, gateway.present().view())
                .orElseThrow(() -> Problems.missing("the station has no device `" + device + "`"));
    }

    /**
     * The event record, oldest first.
     *
     * @param after position of the last event already seen; 0 for the beginning.
     */
    @GET
    @Path("record")
    public RecordPageForm record(
            @QueryParam("after") @DefaultValue("0") long after, @QueryParam("limit") @DefaultValue("100") int limit) {
        if (limit < 1 || limit > LONGEST_PAGE) {
            throw Problems.wrong("limit is 1 to " + LONGEST_PAGE + ", not " + limit);
        }
        List<RecordedEvent> events = gateway.engine().record().after(after, limit);
        StationView view = gateway.present().view();
        List<EventForm> forms =
                events.stream().map(event -> gateway.forms().event(event, view)).toList();
        Long next = events.size() == limit ? Long.valueOf(events.get(limit - 1).position()) : null;
        return new RecordPageForm(RecordPageForm.FORM, gateway.forms().station(), forms, next);
    }

    /** Answers 503 while the gateway itself does not work; a silent device or a link that is down is told, and no fault of its own. */
    @GET
    @Path("health")
    public Response health() {
        StationView view = gateway.present().committedView();
        WriterStatus writer = gateway.engine().writer().status();
        long age = (gateway.clock().now().monotonicNanos() - view.at().monotonicNanos()) / 1_000_000;
        List<DeviceStatus> devices = gateway.polling();
        List<ServerStatus> servers = gateway.following();
        long answering = devices.stream()
                        .filter(d -> d.condition() == DeviceStatus.Condition.ANSWERING)
                        .count()
                + servers.stream()
                        .filter(s -> s.condition() == ServerStatus.Condition.ANSWERING)
                        .count();
        List<HealthForm.LinkForm> links =
                gateway.engine().links().stream().map(StationResource::link).toList();
        boolean works = !writer.fromMemory() && age < 60_000;
        HealthForm health = new HealthForm(
                HealthForm.FORM,
                gateway.forms().station(),
                works,
                !writer.fromMemory(),
                age,
                (int) answering,
                devices.size() + servers.size(),
                links);
        return Response.status(works ? 200 : 503).entity(health).build();
    }

    private static HealthForm.LinkForm link(LinkState state) {
        return new HealthForm.LinkForm(
                state.link(), Written.name(state.condition()), state.waiting(), state.skipped(), state.lastError());
    }

    /** The JSON Schemas of every form. */
    @GET
    @Path("schemas/{name: [a-z0-9.-]+\\.schema\\.json}")
    @Produces("application/schema+json")
    public byte[] schema(@PathParam("name") String name) throws IOException {
        try (InputStream schema = HealthForm.class.getResourceAsStream("schema/" + name)) {
            if (schema == null) {
                throw Problems.missing("there is no schema `" + name + "`");
            }
            return schema.readAllBytes();
        }
    }
}
