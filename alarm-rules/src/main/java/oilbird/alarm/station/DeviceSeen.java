package oilbird.alarm.station;

import java.util.List;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/**
 * What the gateway had of one device at one moment, for the record of a fault-finding.
 *
 * @param device id of the device.
 * @param lost true while it did not answer.
 * @param answers its requests with their last answers as they came.
 * @param words its status words.
 * @param holding names of the indications that held.
 * @param readings its readings with their quality.
 */
public record DeviceSeen(
        String device,
        boolean lost,
        List<Answer> answers,
        List<Word> words,
        List<String> holding,
        List<Value> readings) {
    /**
     * The last answer to one request.
     *
     * @param text see {@link oilbird.mapping.signal.RawAnswer#text()}.
     */
    public record Answer(String block, String text, Moment at) {}

    /**
     * A status word.
     *
     * @param bits bit 0 in the least significant place.
     * @param width 16, 32 or 64.
     */
    public record Word(String word, long bits, int width, Moment at) {}

    /** A reading; both values are null where there was none. */
    public record Value(
            String point, @Nullable Double number, @Nullable String text, QualityReason quality, Moment at) {}

    public DeviceSeen {
        answers = List.copyOf(answers);
        words = List.copyOf(words);
        holding = List.copyOf(holding);
        readings = List.copyOf(readings);
    }
}
