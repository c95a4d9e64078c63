package oilbird.gateway.app.rest;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.PointsForm;

/** What each link serves to the control room, point by point. */
@Path("/api/v1/links/{link}/points")
@Produces(MediaType.APPLICATION_JSON)
public class PointsResource {
    private final Gateway gateway;

    public PointsResource(Gateway gateway) {
        this.gateway = gateway;
    }

    /** All points of a link as they are now, in the order of its list; the default list where it has none. */
    @GET
    @Needs(Action.VIEW)
    public PointsForm points(@PathParam("link") String link) {
        return gateway.pointsOf(link)
                .map(feed -> PointsForm.of(gateway.forms().station(), link, feed))
                .orElseThrow(() -> Problems.missing("the station has no link `" + link + "`"));
    }
}
