package oilbird.alarm.transformer.derived;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Why;
import oilbird.alarm.transformer.moisture.OilCondition;
import oilbird.alarm.transformer.moisture.WaterInOil;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/** Water in the oil, and how wet it is where the oil is coldest. */
final class WaterAssessment {
    private static final List<String> POINTS = DerivedSignals.points(DerivedSignals.Block.WATER);

    private WaterAssessment() {}

    static Results of(TransformerSetup setup, Map<Quantity, Input> inputs) {
        Finding<WaterInOil> oil = WaterInOil.of(setup.facts().fluid());
        if (oil instanceof Finding.Untold<WaterInOil> untold) {
            return Results.untold(
                    DerivedSignals.Block.WATER,
                    Results.reason(untold.why()),
                    Results.words(untold.why(), untold.detail()));
        }
        WaterInOil constants = ((Finding.Told<WaterInOil>) oil).value();
        Finding<Double> content = content(constants, inputs);
        if (content instanceof Finding.Untold<Double> untold) {
            return Results.untold(
                    DerivedSignals.Block.WATER,
                    Results.reason(untold.why()),
                    Results.words(untold.why(), untold.detail()));
        }
        double water = ((Finding.Told<Double>) content).value();
        Results results = new Results(DerivedSignals.Block.WATER);
        results.number("water-content", water, QualityReason.NONE);
        grade(setup, water, results);
        coldest(constants, water, temperatures(inputs), results);
        return results;
    }

    private static Finding<Double> content(WaterInOil constants, Map<Quantity, Input> inputs) {
        Double direct = input(inputs, Quantity.WATER_CONTENT);
        if (direct != null) {
            return direct < 0 ? Finding.untold(Why.NEGATIVE_VALUE, "water content") : Finding.told(direct);
        }
        Double saturation = input(inputs, Quantity.WATER_SATURATION);
        Double probe = input(inputs, Quantity.WATER_PROBE_TEMPERATURE);
        if (saturation == null) {
            return Finding.untold(Why.MISSING_VALUE, "neither water content nor relative saturation");
        }
        return probe == null
                ? Finding.untold(Why.MISSING_VALUE, "oil temperature at the moisture probe")
                : constants.content(saturation, probe);
    }

    private static List<Double> temperatures(Map<Quantity, Input> inputs) {
        List<Double> temperatures = new ArrayList<>();
        for (Quantity quantity :
                List.of(Quantity.BOTTOM_OIL, Quantity.WATER_PROBE_TEMPERATURE, Quantity.TOP_OIL, Quantity.AMBIENT)) {
            Double celsius = input(inputs, quantity);
            // Air below freezing cools no oil to below zero while it moves; the equations end there.
            if (celsius != null) {
                temperatures.add(quantity == Quantity.AMBIENT ? Math.max(0, celsius) : celsius);
            }
        }
        return temperatures;
    }

    private static @Nullable Double input(Map<Quantity, Input> inputs, Quantity quantity) {
        return inputs.getOrDefault(quantity, Input.NONE).usable();
    }

    private static void grade(TransformerSetup setup, double water, Results results) {
        OilCondition.Category category = setup.category();
        if (category == null) {
            results.untold("water-grade", QualityReason.NO_INPUT, "the asset's highest voltage is not stated");
            return;
        }
        Finding<OilCondition> condition = OilCondition.of(setup.facts().fluid(), category, water, null);
        if (condition instanceof Finding.Told<OilCondition> told) {
            results.text(
                    "water-grade",
                    told.value().water().name().toLowerCase(Locale.ROOT),
                    Results.reason(told.remarks()));
        } else if (condition instanceof Finding.Untold<OilCondition> untold) {
            results.untold("water-grade", untold.why(), untold.detail());
        }
    }

    private static void coldest(WaterInOil constants, double water, List<Double> temperatures, Results results) {
        Finding<WaterInOil.ColdestPoint> finding = constants.coldestPoint(water, temperatures);
        if (finding instanceof Finding.Told<WaterInOil.ColdestPoint> told) {
            WaterInOil.ColdestPoint coldest = told.value();
            QualityReason reason = Results.reason(told.remarks());
            results.number("coldest-temperature", coldest.celsius(), reason);
            results.number("coldest-saturation", coldest.saturationPercent(), reason);
            results.number("free-water-margin", coldest.marginKelvin(), reason);
            results.state("free-water-possible", coldest.marginKelvin() <= 0, reason);
        } else if (finding instanceof Finding.Untold<WaterInOil.ColdestPoint> untold) {
            POINTS.stream()
                    .filter(p -> p.startsWith("coldest") || p.startsWith("free"))
                    .forEach(p -> results.untold(p, untold.why(), untold.detail()));
            results.untoldState("free-water-possible", Results.reason(untold.why()));
        }
    }
}
