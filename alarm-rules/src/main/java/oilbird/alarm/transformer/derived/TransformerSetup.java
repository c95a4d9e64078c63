package oilbird.alarm.transformer.derived;

import java.time.Duration;
import java.util.Collections;
import java.util.EnumMap;
import java.util.Map;
import oilbird.alarm.transformer.SensorKind;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.SampleSource;
import oilbird.alarm.transformer.heat.Ageing;
import oilbird.alarm.transformer.heat.ResidualBand;
import oilbird.alarm.transformer.heat.ThermalModel;
import oilbird.alarm.transformer.moisture.OilCondition.Category;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * What a station says of one transformer whose condition is computed.
 *
 * @param asset id of the asset.
 * @param device id of the derived device that carries the results.
 * @param gasMonitor id of the device that analyses the gases; empty where none does.
 * @param feeds which point feeds which quantity.
 * @param heat null where rated data or cooling are not stated.
 * @param category of IEC 60422 by the highest voltage, or null where that is not stated.
 */
public record TransformerSetup(
        String asset,
        String device,
        TransformerFacts facts,
        String gasMonitor,
        SensorKind sensor,
        Choices choices,
        Trending trending,
        Map<Quantity, Feed> feeds,
        @Nullable Heat heat,
        @Nullable Category category) {
    /**
     * A point of a monitor.
     *
     * @param factor from the point's unit to the quantity's.
     */
    public record Feed(SignalId point, double factor) {}

    /**
     * When gases rise, and when they rise fast. Our choices, stated in the documentation.
     *
     * @param window over which a fast rise is judged.
     * @param fastTotal ppm a day of hydrogen and hydrocarbons together; 30 is the highest step of the daily rates of
     *     combustible gas in IEEE C57.104-2008 (from memory).
     * @param fastAcetylene ppm a day of acetylene alone: one detection limit.
     */
    public record Trending(Duration window, double fastTotal, double fastAcetylene) {
        public static final Trending USUAL = new Trending(Duration.ofDays(1), 30, 1);

        /** Over which a slow rise is judged. */
        public Duration longWindow() {
            return window.multipliedBy(30);
        }
    }

    /**
     * Figures for the heat equations.
     *
     * @param confirmed whether two copies of the standard agree on the constants of the cooling mode.
     * @param ratedCurrent ampere, or null where load comes as a factor.
     */
    public record Heat(
            ThermalModel model,
            boolean confirmed,
            Ageing ageing,
            @Nullable Double ratedCurrent,
            ResidualBand band) {
        /** Over which the residual is judged. */
        public static final Duration WINDOW = Duration.ofHours(1);
    }

    public TransformerSetup {
        Map<Quantity, Feed> copy = new EnumMap<>(Quantity.class);
        copy.putAll(feeds);
        feeds = Collections.unmodifiableMap(copy);
    }

    /** The monitor as a source of samples. */
    public SampleSource source() {
        return new SampleSource(gasMonitor, SampleSource.Origin.MONITOR, sensor);
    }
}
