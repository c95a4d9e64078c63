package oilbird.gateway.app;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.Path;
import org.eclipse.microprofile.openapi.annotations.Operation;

/** An address of the test's own whose maker forgot to say what it needs. */
@Path("/api/v1/forgotten")
public class Forgotten {
    @GET
    @Operation(hidden = true)
    public String forgotten() {
        return "seen";
    }
}
