package oilbird.alarm.evidence;

import java.util.List;

/**
 * What a feature has learnt of its inputs and keeps over a restart.
 *
 * @param of how the feature was declared while it learnt; what was learnt for another declaration is not used.
 * @param levels samples of a usual level, or the usual value of each neighbour.
 */
public record Learnt(String of, List<Double> levels) {
    public Learnt {
        levels = List.copyOf(levels);
    }
}
