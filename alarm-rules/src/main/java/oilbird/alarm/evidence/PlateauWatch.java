package oilbird.alarm.evidence;

import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;
import org.jspecify.annotations.Nullable;

final class PlateauWatch extends ShapeWatch {
    private final Feature.Plateau plateau;
    private final SlidingExtremes of;
    private final @Nullable SlidingExtremes companion;

    PlateauWatch(Feature.Plateau plateau) {
        this.plateau = plateau;
        long window = plateau.over().toNanos();
        this.of = new SlidingExtremes(window);
        this.companion = plateau.companion() == null ? null : new SlidingExtremes(window);
    }

    @Override
    void sample(int input, long now, double value) {
        if (input == 0) {
            of.add(now, value);
        } else if (companion != null) {
            companion.add(now, value);
        }
    }

    @Override
    void restart() {
        of.clear();
        if (companion != null) {
            companion.clear();
        }
    }

    @Override
    IndicationState tell(long now) {
        if (of.range() > plateau.within()) {
            return IndicationState.DOES_NOT_HOLD;
        }
        if (!of.complete(now)) {
            return IndicationState.CANNOT_BE_TOLD;
        }
        boolean expected = companion == null || (companion.complete(now) && companion.range() >= plateau.moves());
        return expected ? IndicationState.HOLDS : IndicationState.CANNOT_BE_TOLD;
    }
}
