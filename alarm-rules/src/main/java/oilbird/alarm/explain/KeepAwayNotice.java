package oilbird.alarm.explain;

import java.util.List;
import oilbird.mapping.signal.Moment;

/**
 * That people are to keep away from an asset.
 *
 * @param reasons in plain words.
 * @param text the whole in one or two sentences.
 */
public record KeepAwayNotice(String asset, String assetName, Moment since, List<String> reasons, String text) {
    public KeepAwayNotice {
        reasons = List.copyOf(reasons);
    }
}
