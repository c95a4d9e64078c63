package oilbird.gateway.app.rest;

import jakarta.ws.rs.HttpMethod;
import jakarta.ws.rs.container.ContainerRequestContext;
import jakarta.ws.rs.container.ContainerResponseContext;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.Response;
import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.Base64;
import java.util.regex.Pattern;
import oilbird.gateway.contract.Written;
import org.jboss.resteasy.reactive.server.ServerResponseFilter;
import org.jspecify.annotations.Nullable;

/**
 * Gives every form that is read an entity tag, and answers 304 where the asker has just this (RFC 9110, 13.1.2).
 *
 * <p>The tags are weak: when a form says the same as before and only the time of the picture differs, its tag is the
 * same.
 */
public final class EntityTags {
    private static final Pattern TIME_OF_THE_PICTURE = Pattern.compile("\"asOf\":\"[^\"]*\"");
    private static final int TAG_BYTES = 16;

    /** The tag of a written form, in its quotes. */
    static String of(byte[] json) {
        String said = TIME_OF_THE_PICTURE
                .matcher(new String(json, StandardCharsets.UTF_8))
                .replaceAll("");
        try {
            byte[] digest = MessageDigest.getInstance("SHA-256").digest(said.getBytes(StandardCharsets.UTF_8));
            byte[] start = java.util.Arrays.copyOf(digest, TAG_BYTES);
            return "W/\"" + Base64.getUrlEncoder().withoutPadding().encodeToString(start) + "\"";
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException("every Java has SHA-256", e);
        }
    }

    /** Whether a header If-None-Match names the tag, by the weak comparison that the standard asks for. */
    static boolean names(@Nullable String ifNoneMatch, String tag) {
        if (ifNoneMatch == null) {
            return false;
        }
        String opaque = tag.replaceFirst("^W/", "");
        for (String one : ifNoneMatch.split(",", -1)) {
            String other = one.strip();
            if (other.equals("*") || other.replaceFirst("^W/", "").equals(opaque)) {
                return true;
            }
        }
        return false;
    }

    @ServerResponseFilter
    public void tag(ContainerRequestContext request, ContainerResponseContext response) {
        Object form = response.getEntity();
        boolean read = request.getMethod().equals(HttpMethod.GET)
                || request.getMethod().equals(HttpMethod.HEAD);
        if (!read
                || response.getStatus() != 200
                || form == null
                || !form.getClass().getPackageName().equals(Written.class.getPackageName())) {
            return;
        }
        byte[] json = Written.json(form);
        String tag = of(json);
        response.getHeaders().putSingle(HttpHeaders.ETAG, tag);
        response.getHeaders().putSingle(HttpHeaders.CACHE_CONTROL, "no-cache");
        if (names(request.getHeaderString(HttpHeaders.IF_NONE_MATCH), tag)) {
            response.setStatus(Response.Status.NOT_MODIFIED.getStatusCode());
            response.setEntity(null);
        } else {
            response.setEntity(new String(json, StandardCharsets.UTF_8));
        }
    }
}
