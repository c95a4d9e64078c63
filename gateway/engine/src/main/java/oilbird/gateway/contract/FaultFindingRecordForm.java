package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Everything that belongs to one guided fault-finding, for a hand-over: form {@code oilbird.fault-finding-record/1}.
 *
 * @param devices the devices concerned, with what is known of their identity.
 * @param steps every step, as it is in the event record.
 * @param measurements the measured values among the steps.
 * @param supplyInterruptions times in which a device was silent or the gateway did not run, since a day before it began.
 * @param timeline other events about the same assets and devices, since a day before it began.
 * @param chain the same steps byte for byte, with hashes: everything under {@code steps} and {@code measurements} can be
 *     verified from it without the gateway.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record FaultFindingRecordForm(
        String form,
        StationForm station,
        String session,
        String diagnosis,
        String subjectName,
        List<String> assets,
        String exportedAt,
        @Nullable String ended,
        List<DeviceForm> devices,
        List<FaultFindingEventForm> steps,
        List<MeasurementForm> measurements,
        List<InterruptionForm> supplyInterruptions,
        List<EventForm> timeline,
        ChainForm chain) {
    public static final String FORM = "oilbird.fault-finding-record/1";

    /** A device; what is not known of it is absent. */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record DeviceForm(
            String device,
            String name,
            String asset,
            String assetName,
            String map,
            String product,
            @Nullable String vendor,
            @Nullable String productCode,
            @Nullable String firmware,
            @Nullable String serialNumber) {}

    /** A measured value. */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record MeasurementForm(
            long version,
            String check,
            @Nullable String asked,
            String written,
            @Nullable Double value,
            @Nullable String unit,
            @Nullable String accepted,
            @Nullable String verdict,
            String who,
            String at,
            @Nullable String doneAt) {}

    /**
     * A time without answers.
     *
     * @param device null where the gateway itself did not run.
     * @param to absent while it lasts, or where it is not known.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record InterruptionForm(
            @Nullable String device, String from, @Nullable String to, String text) {}

    /**
     * The chain.
     *
     * @param algorithm how {@code hash} is made.
     * @param rows oldest first.
     * @param seal hash of the newest row: whoever holds it on paper can tell a record that was made anew.
     */
    public record ChainForm(String algorithm, List<RowForm> rows, String seal) {
        public ChainForm {
            rows = List.copyOf(rows);
        }
    }

    /**
     * A row, byte for byte.
     *
     * @param body the UTF-8 text of the event as it was stored.
     * @param hash in the chain of this fault-finding, hexadecimal.
     * @param recordPrevious hash of the row before it in the gateway's event record.
     * @param recordHash its hash there.
     */
    public record RowForm(long position, String body, String hash, String recordPrevious, String recordHash) {}

    public FaultFindingRecordForm {
        assets = List.copyOf(assets);
        devices = List.copyOf(devices);
        steps = List.copyOf(steps);
        measurements = List.copyOf(measurements);
        supplyInterruptions = List.copyOf(supplyInterruptions);
        timeline = List.copyOf(timeline);
    }
}
