package oilbird.gateway.contract;

import java.util.List;

/**
 * That people are to keep away from an asset until the control room releases it.
 *
 * @param reasons in plain words.
 * @param text the whole in one or two sentences, for a banner.
 */
public record KeepAwayForm(
        String asset, String assetName, String since, boolean timeTrusted, List<String> reasons, String text) {
    public KeepAwayForm {
        reasons = List.copyOf(reasons);
    }
}
