package oilbird.alarm.transformer;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.jspecify.annotations.Nullable;

/**
 * The facts of one asset that decide which methods may speak at all.
 *
 * @param inServiceSince first energised, for the age classes of IEEE C57.104-2019; null when unknown.
 * @param restarts oil treatments and sensor replacements, in any order.
 */
public record TransformerFacts(
        Fluid fluid,
        Equipment equipment,
        TapChanger tapChanger,
        @Nullable Instant inServiceSince,
        List<TrendRestart> restarts) {
    public TransformerFacts {
        restarts = List.copyOf(restarts);
    }

    /** A power transformer in mineral oil with a separate tap changer, of unknown age and without restarts. */
    public static TransformerFacts mineralOilTransformer() {
        return new TransformerFacts(
                Fluid.MINERAL_OIL, Equipment.POWER_TRANSFORMER, TapChanger.SEPARATE, null, List.of());
    }

    /** Age in years of 365.25 days, or empty when unknown or when {@code at} lies before first service. */
    public OptionalDouble ageYears(Instant at) {
        if (inServiceSince == null || at.isBefore(inServiceSince)) {
            return OptionalDouble.empty();
        }
        return OptionalDouble.of(Duration.between(inServiceSince, at).getSeconds() / (365.25 * 86_400.0));
    }

    /** The last restart at or before {@code at} that concerns the source. */
    public Optional<TrendRestart> lastRestart(String source, Instant at) {
        Optional<TrendRestart> last = Optional.empty();
        for (TrendRestart restart : restarts) {
            if (restart.concerns(source)
                    && !restart.at().isAfter(at)
                    && (last.isEmpty() || restart.at().isAfter(last.get().at()))) {
                last = Optional.of(restart);
            }
        }
        return last;
    }

    /** Why mineral-oil methods may not be used on this asset, or null when they may. */
    public <T> Finding.@Nullable Untold<T> refusedUnlessMineralOil() {
        return switch (fluid) {
            case MINERAL_OIL -> null;
            case UNKNOWN -> new Finding.Untold<>(Why.FLUID_UNKNOWN, "these limits are for mineral oil");
            case NATURAL_ESTER, SYNTHETIC_ESTER, SILICONE ->
                new Finding.Untold<>(
                        Why.FLUID_NOT_COVERED, "these limits are for mineral oil, the asset is filled with " + fluid);
        };
    }
}
