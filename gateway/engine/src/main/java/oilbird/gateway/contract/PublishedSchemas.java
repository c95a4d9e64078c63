package oilbird.gateway.contract;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.util.List;
import java.util.Optional;

/** The JSON Schemas of every form that leaves the process or comes in. */
public final class PublishedSchemas {
    private static final List<String> NAMES = List.of(
            "access-event-1.schema.json",
            "act-1.schema.json",
            "alarm-event-1.schema.json",
            "alarm-state-1.schema.json",
            "alarms-1.schema.json",
            "alive-1.schema.json",
            "asset-1.schema.json",
            "assets-1.schema.json",
            "cloud-event-1.schema.json",
            "common-1.schema.json",
            "devices-1.schema.json",
            "diagnoses-1.schema.json",
            "diagnosis-1.schema.json",
            "diagnosis-event-1.schema.json",
            "fault-finding-1.schema.json",
            "fault-finding-act-1.schema.json",
            "fault-finding-event-1.schema.json",
            "fault-finding-record-1.schema.json",
            "fault-findings-1.schema.json",
            "gateway-1.schema.json",
            "health-1.schema.json",
            "keep-away-event-1.schema.json",
            "lines-1.schema.json",
            "link-test-1.schema.json",
            "link-tested-1.schema.json",
            "links-1.schema.json",
            "needs-someone-1.schema.json",
            "notice-1.schema.json",
            "one-link-1.schema.json",
            "one-reading-1.schema.json",
            "password-1.schema.json",
            "pictures-1.schema.json",
            "point-1.schema.json",
            "points-1.schema.json",
            "problem-1.schema.json",
            "reading-list-1.schema.json",
            "readings-1.schema.json",
            "record-page-1.schema.json",
            "rules-1.schema.json",
            "sample-1.schema.json",
            "samples-1.schema.json",
            "schemas-1.schema.json",
            "session-1.schema.json",
            "set-up-1.schema.json",
            "sign-in-1.schema.json",
            "standing-1.schema.json",
            "standing-act-1.schema.json",
            "users-1.schema.json");

    private PublishedSchemas() {}

    public static List<String> names() {
        return NAMES;
    }

    /** UTF-8; empty if there is no such schema. */
    public static Optional<byte[]> text(String name) {
        if (!NAMES.contains(name)) {
            return Optional.empty();
        }
        try (InputStream schema = PublishedSchemas.class.getResourceAsStream("schema/" + name)) {
            if (schema == null) {
                throw new IllegalStateException("a schema is missing: " + name);
            }
            return Optional.of(schema.readAllBytes());
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }
}
