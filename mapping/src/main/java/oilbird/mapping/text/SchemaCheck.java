package oilbird.mapping.text;

/**
 * Checks a document against a published JSON Schema (draft 2020-12) and tells every mistake at its
 * position in words with a remedy.
 */
public final class SchemaCheck {
    private final String resource;

    private SchemaCheck(String resource) {
        this.resource = resource;
    }

    /**
     * @param resource absolute class path name, for example {@code /oilbird/schema/device-map-1.schema.json}.
     */
    public static SchemaCheck of(String resource) {
        return new SchemaCheck(resource);
    }

    /** Adds the mistakes to the document's own problems. */
    public void check(YamlNode root) {
        throw new UnsupportedOperationException(resource);
    }
}
