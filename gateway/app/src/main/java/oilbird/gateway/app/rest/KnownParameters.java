package oilbird.gateway.app.rest;

import jakarta.ws.rs.QueryParam;
import jakarta.ws.rs.container.ResourceInfo;
import jakarta.ws.rs.core.UriInfo;
import java.lang.reflect.Parameter;
import java.util.Set;
import java.util.TreeSet;
import org.jboss.resteasy.reactive.server.ServerRequestFilter;

/** Refuses a query parameter that nobody knows: a filter with a misspelt name would answer with everything. */
public final class KnownParameters {
    @ServerRequestFilter
    public void refuseUnknown(ResourceInfo resource, UriInfo uri) {
        if (uri.getQueryParameters().isEmpty() || resource.getResourceMethod() == null) {
            return;
        }
        Set<String> known = new TreeSet<>();
        for (Parameter parameter : resource.getResourceMethod().getParameters()) {
            QueryParam query = parameter.getAnnotation(QueryParam.class);
            if (query != null) {
                known.add(query.value());
            }
        }
        for (String name : uri.getQueryParameters().keySet()) {
            if (!known.contains(name)) {
                throw Problems.wrong(
                        name,
                        "there is no parameter `" + name + "`"
                                + (known.isEmpty() ? "" : "; write one of " + String.join(", ", known)));
            }
        }
    }
}
