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
            String at) {
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
