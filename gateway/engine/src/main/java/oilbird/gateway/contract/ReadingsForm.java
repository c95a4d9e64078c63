package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/** What one device says now, after freshness and trust: form {@code oilbird.readings/1}. */
public record ReadingsForm(
        String form,
        StationForm station,
        DeviceForm device,
        String asOf,
        boolean timeTrusted,
        List<ReadingForm> readings,
        List<IndicationForm> indications,
        List<WordForm> words) {
    public static final String FORM = "oilbird.readings/1";

    /**
     * @param reason why it is not good; {@code none} when it is.
     * @param because indications that make it doubtful or worthless.
     * @param test true while a point test forces {@code value}; quality and reason are then the test's.
     * @param at when the gateway got the value; of a reading with an analysis counter, when the analysis came; of what is
     *     computed, from when it is.
     * @param status the device's own word on the value, for example {@code Uncertain_SensorNotAccurate} of OPC UA; left
     *     out where its protocol has none.
     * @param sourceTime when the device says that its source made the value; left out where it does not say.
     * @param serverTime when the device says that its server got the value; left out where it does not say.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record ReadingForm(
            String reading,
            String label,
            @Nullable Double value,
            @Nullable String text,
            String unit,
            String quality,
            String reason,
            List<String> because,
            boolean test,
            String at,
            @Nullable String status,
            @Nullable String sourceTime,
            @Nullable String serverTime) {
        public ReadingForm {
            because = List.copyOf(because);
        }
    }

    /**
     * @param state {@code holds}, {@code does-not-hold} or {@code cannot-be-told}.
     */
    public record IndicationForm(String indication, String text, String state, String reason, String at) {}

    /**
     * @param bits hexadecimal, as wide as the word.
     * @param undocumented set bits that the device map knows nothing about, hexadecimal.
     */
    public record WordForm(String word, String bits, String undocumented, String at) {}

    public ReadingsForm {
        readings = List.copyOf(readings);
        indications = List.copyOf(indications);
        words = List.copyOf(words);
    }
}
