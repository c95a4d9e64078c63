package oilbird.mapping.map;

import java.util.List;

/**
 * What an indication does to the readings of its device while it holds.
 *
 * @param doubtful names of points that must not be taken at face value.
 * @param worthless names of points from which nothing can be concluded.
 * @param afterPeriods how many update periods of each point the effect outlasts the indication.
 */
public record TrustEffect(List<String> doubtful, List<String> worthless, int afterPeriods) {
    public static final TrustEffect NONE = new TrustEffect(List.of(), List.of(), 0);

    public TrustEffect {
        doubtful = List.copyOf(doubtful);
        worthless = List.copyOf(worthless);
    }
}
