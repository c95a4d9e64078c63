package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import org.jspecify.annotations.Nullable;

/**
 * One device in short.
 *
 * @param name name for people within its asset.
 * @param link {@code answering}, {@code silent}, {@code not-yet-asked}, or {@code released} while somebody else has its
 *     connection.
 * @param lastAnswer when the newest answer came; absent before the first.
 * @param maintenance present while the device or its asset is in maintenance.
 * @param readings how many readings it has, by quality.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record DeviceForm(
        String device,
        String name,
        String asset,
        String assetName,
        String map,
        String product,
        String link,
        @Nullable String lastAnswer,
        @Nullable MaintenanceForm maintenance,
        Counts readings) {
    public record Counts(int good, int uncertain, int bad) {}
}
