package oilbird.gateway.app;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import org.eclipse.microprofile.openapi.annotations.Operation;

/** An address of the test's own that meets a fault. */
@Path("/api/v1/broken")
public class Broken {
    @GET
    @Needs(Action.VIEW)
    @Operation(hidden = true)
    public String broken() {
        throw new IllegalStateException("a fault of the test's own");
    }
}
