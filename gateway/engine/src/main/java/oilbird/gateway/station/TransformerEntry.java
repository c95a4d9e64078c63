package oilbird.gateway.station;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Equipment;
import oilbird.alarm.transformer.Fluid;
import oilbird.alarm.transformer.SensorKind;
import oilbird.alarm.transformer.TapChanger;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.TrendRestart;
import oilbird.alarm.transformer.derived.Quantity;
import oilbird.alarm.transformer.derived.TransformerSetup;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.DisputedCell;
import oilbird.alarm.transformer.heat.Ageing;
import oilbird.alarm.transformer.heat.CoolingMode;
import oilbird.alarm.transformer.heat.ResidualBand;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import org.jspecify.annotations.Nullable;

/**
 * What the station file says of one transformer and of what is computed of it, references not yet resolved.
 *
 * @param heat null where cooling or figures for the heat equations are not stated.
 * @param highestVoltage kilovolt, or null.
 * @param gasMonitor device id, with its place; null for the one device of the asset that analyses gases.
 * @param inputs point by quantity, as {@code device/point}, with their places.
 * @param sensorDevices devices named as replaced, with their places.
 */
record TransformerEntry(
        Position position,
        TransformerFacts facts,
        @Nullable HeatEntry heat,
        @Nullable Double ratedCurrent,
        @Nullable Double highestVoltage,
        @Nullable Placed gasMonitor,
        SensorKind sensor,
        Choices choices,
        TransformerSetup.Trending trending,
        ResidualBand band,
        Map<Quantity, Placed> inputs,
        List<Placed> sensorDevices) {
    record HeatEntry(CoolingMode cooling, double topOilRise, double hotSpotGradient, double lossRatio, Ageing ageing) {}

    record Placed(String text, Position position) {}

    private static final List<String> HEAT = List.of("cooling", "top_oil_rise", "hot_spot_gradient", "loss_ratio");

    /** Null where the asset says nothing of a transformer. */
    static @Nullable TransformerEntry of(YamlMapping asset) {
        if (!asset.has("transformer")) {
            if (asset.has("computation")) {
                asset.problems()
                        .error(
                                asset.keyPosition("computation"),
                                "nothing is computed of an asset without transformer:",
                                "add transformer: with its fluid at least");
            }
            return null;
        }
        YamlMapping written = asset.mapping("transformer");
        if (!asset.text("kind", "transformer").equals("transformer")) {
            asset.problems()
                    .error(
                            asset.valuePosition("kind"),
                            "only a transformer has transformer:",
                            "write kind: transformer, or take transformer: out");
        }
        YamlMapping computation = asset.mapping("computation");
        List<Placed> sensorDevices = new ArrayList<>();
        TransformerFacts facts = new TransformerFacts(
                written.choice("fluid", Fluid.UNKNOWN),
                written.choice("equipment", Equipment.POWER_TRANSFORMER),
                written.choice("tap_changer", TapChanger.UNKNOWN),
                written.has("in_service_since") ? DateText.of(written, "in_service_since") : null,
                restarts(written, sensorDevices));
        Map<Quantity, Placed> inputs = new LinkedHashMap<>();
        for (YamlMapping.Entry entry : computation.mapping("inputs").entries()) {
            for (Quantity quantity : Quantity.values()) {
                if (quantity.key().equals(entry.key())) {
                    inputs.put(
                            quantity,
                            new Placed(entry.value().asText(), entry.value().position()));
                }
            }
        }
        return new TransformerEntry(
                written.position(),
                facts,
                heat(written),
                written.decimalOrNull("rated_current"),
                written.decimalOrNull("highest_voltage"),
                computation.has("gas_monitor")
                        ? new Placed(computation.text("gas_monitor", ""), computation.valuePosition("gas_monitor"))
                        : null,
                computation.choice("gas_sensor", SensorKind.SEPARATE_GASES),
                choices(computation),
                trending(computation),
                new ResidualBand(
                        computation.decimal("residual_centre", ResidualBand.WITHOUT_HISTORY.centre()),
                        computation.decimal("residual_half", ResidualBand.WITHOUT_HISTORY.half())),
                inputs,
                sensorDevices);
    }

    private static List<TrendRestart> restarts(YamlMapping written, List<Placed> sensorDevices) {
        List<TrendRestart> restarts = new ArrayList<>();
        for (YamlNode item : written.list("oil_treatments").items()) {
            YamlMapping treatment = item.asMapping();
            Instant on = DateText.of(treatment, "on");
            if (on != null) {
                boolean replaced = treatment.text("kind", "treatment").equals("replacement");
                restarts.add(new TrendRestart(
                        on, replaced ? TrendRestart.Cause.OIL_REPLACEMENT : TrendRestart.Cause.OIL_TREATMENT, null));
            }
        }
        for (YamlNode item : written.list("sensor_replacements").items()) {
            YamlMapping replacement = item.asMapping();
            Instant on = DateText.of(replacement, "on");
            String device = replacement.text("device", "");
            sensorDevices.add(new Placed(device, replacement.valuePosition("device")));
            if (on != null) {
                restarts.add(new TrendRestart(on, TrendRestart.Cause.SENSOR_REPLACEMENT, device));
            }
        }
        return restarts;
    }

    private static @Nullable HeatEntry heat(YamlMapping written) {
        List<String> missing = HEAT.stream().filter(key -> !written.has(key)).toList();
        if (missing.size() == HEAT.size()) {
            return null;
        }
        if (!missing.isEmpty()) {
            written.warning(
                    "hot spot and ageing are not computed, since " + String.join(", ", missing) + " is not given",
                    "add it from the type test report, or leave all of " + String.join(", ", HEAT) + " out");
            return null;
        }
        return new HeatEntry(
                written.choice("cooling", CoolingMode.ONAN),
                written.decimal("top_oil_rise", 0),
                written.decimal("hot_spot_gradient", 0),
                written.decimal("loss_ratio", 0),
                written.text("paper", "kraft").equals("thermally-upgraded") ? Ageing.UPGRADED : Ageing.NON_UPGRADED);
    }

    private static Choices choices(YamlMapping computation) {
        Choices choices = Choices.STANDING;
        for (YamlNode item : computation.list("other_readings").items()) {
            String key = item.asText();
            for (DisputedCell cell : DisputedCell.values()) {
                if (cell.key().equals(key) && !choices.alternative(cell)) {
                    choices = choices.flipped(cell);
                }
            }
        }
        return choices;
    }

    private static TransformerSetup.Trending trending(YamlMapping computation) {
        TransformerSetup.Trending usual = TransformerSetup.Trending.USUAL;
        Duration window = computation.duration("rate_window", usual.window());
        if (window.compareTo(Duration.ofMinutes(1)) < 0 || window.compareTo(Duration.ofDays(14)) > 0) {
            computation
                    .problems()
                    .error(
                            computation.valuePosition("rate_window"),
                            "the window of a fast rise is 1 min to 14 d",
                            "write a window between these; 1 d is usual");
            window = usual.window();
        }
        return new TransformerSetup.Trending(
                window,
                computation.decimal("fast_rise_total", usual.fastTotal()),
                computation.decimal("fast_rise_acetylene", usual.fastAcetylene()));
    }
}
