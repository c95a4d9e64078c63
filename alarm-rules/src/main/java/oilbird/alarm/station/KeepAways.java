package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.Refusal;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * From which assets people are to keep away: the one place where that changes.
 *
 * <p>A reason raises it at once, also in maintenance, when people are near. Once raised it stays until the control
 * room releases it, whatever becomes of its reasons. Reasons that still hold at the release do not raise it again; a
 * new one does, and so does an old one that went and comes back.
 */
final class KeepAways {
    private final StandingOrders orders;
    private final Telling telling;
    private final Map<String, Standing.KeepAway> byAsset = new LinkedHashMap<>();
    /** Reasons that hold now, by asset. */
    private final Map<String, Set<String>> holding = new LinkedHashMap<>();

    /** Takes what is to be recorded. */
    interface Telling {
        void tell(
                StationEvent.KeptAway.Kind kind,
                String asset,
                List<String> reasons,
                @Nullable Actor by,
                String text,
                Moment at);
    }

    KeepAways(StandingOrders orders, Telling telling) {
        this.orders = orders;
        this.telling = telling;
        for (Standing.KeepAway stored : orders.standing().keepAways()) {
            byAsset.put(stored.asset(), stored);
        }
    }

    /** A reason holds. */
    void holds(String asset, String reason, Moment at) {
        if (!holding.computeIfAbsent(asset, a -> new LinkedHashSet<>()).add(reason)) {
            return;
        }
        Standing.KeepAway now = byAsset.get(asset);
        if (now != null && now.reasons().contains(reason)) {
            return; // known from before a restart or a release
        }
        List<String> reasons = new ArrayList<>();
        Moment since = at;
        boolean raises = true;
        if (now != null) {
            reasons.addAll(now.reasons());
            raises = now.releasedBy() != null;
            since = raises ? at : now.since();
        }
        reasons.add(reason);
        put(new Standing.KeepAway(asset, since, reasons, null));
        telling.tell(
                raises ? StationEvent.KeptAway.Kind.RAISED : StationEvent.KeptAway.Kind.ANOTHER_REASON,
                asset,
                reasons,
                null,
                reason,
                at);
    }

    /** A reason is known not to hold any more. */
    void isGone(String asset, String reason) {
        Set<String> held = holding.get(asset);
        if (held != null) {
            held.remove(reason);
        }
        Standing.KeepAway now = byAsset.get(asset);
        if (now == null || now.releasedBy() == null || !now.reasons().contains(reason)) {
            return;
        }
        List<String> left = new ArrayList<>(now.reasons());
        left.remove(reason);
        put(new Standing.KeepAway(asset, now.since(), left, now.releasedBy()));
    }

    @Nullable
    Refusal release(StationInput.ReleaseKeepAway release) {
        Standing.KeepAway now = byAsset.get(release.asset());
        if (now == null || now.releasedBy() != null) {
            return Refusal.NOT_KEPT_AWAY;
        }
        Set<String> held = holding.getOrDefault(release.asset(), new LinkedHashSet<>());
        put(new Standing.KeepAway(
                release.asset(),
                now.since(),
                now.reasons().stream().filter(held::contains).toList(),
                release.by()));
        telling.tell(
                StationEvent.KeptAway.Kind.RELEASED,
                release.asset(),
                now.reasons(),
                release.by(),
                release.comment(),
                release.at());
        return null;
    }

    private void put(Standing.KeepAway next) {
        if (next.releasedBy() != null && next.reasons().isEmpty()) {
            byAsset.remove(next.asset());
        } else {
            byAsset.put(next.asset(), next);
        }
        orders.keepAways(List.copyOf(byAsset.values()));
    }
}
