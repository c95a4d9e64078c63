package oilbird.gateway.contract;

import java.util.List;

/**
 * The published schemas: form {@code oilbird.schemas/1}.
 *
 * @param schemas path of each.
 */
public record SchemasForm(String form, List<String> schemas) {
    public static final String FORM = "oilbird.schemas/1";

    public SchemasForm {
        schemas = List.copyOf(schemas);
    }
}
