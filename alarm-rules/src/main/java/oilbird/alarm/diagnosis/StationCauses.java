package oilbird.alarm.diagnosis;

import java.util.List;

/**
 * The causes of a whole station and the signs that they produce: a two-level network.
 *
 * @param signs each once, in the order in which causes name them.
 * @param otherwise for each sign how often it shows without any of the causes.
 */
public record StationCauses(List<Sign> signs, List<Rate> otherwise, List<CauseInstance> causes) {
    /** A station without fault models. */
    public static final StationCauses NONE = new StationCauses(List.of(), List.of(), List.of());

    public StationCauses {
        signs = List.copyOf(signs);
        otherwise = List.copyOf(otherwise);
        causes = List.copyOf(causes);
        if (signs.size() != otherwise.size()) {
            throw new IllegalArgumentException("a rate for each sign");
        }
    }
}
