package oilbird.gateway.sample;

import java.time.Instant;
import java.time.LocalDate;
import java.time.OffsetDateTime;
import java.time.ZoneOffset;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.BiConsumer;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.SensorKind;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasReading;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.GasUnit;
import oilbird.alarm.transformer.gas.SampleSource;
import oilbird.mapping.text.Suggestion;
import org.jspecify.annotations.Nullable;

/**
 * A laboratory sample in words: gases by name in ppm by volume, {@code <1} for below detection, {@code >2000} for
 * beyond the range, nothing for not analysed; the time of sampling as a day or as ISO 8601 with its zone.
 */
public final class SampleText {
    /** Names of the gases, as the keys of a form and the columns of a table. */
    public static final List<String> GASES = gases();

    private static final int LONGEST_NAME = 60;

    private SampleText() {}

    private static List<String> gases() {
        List<String> names = new ArrayList<>();
        for (Gas gas : Gas.values()) {
            names.add(gas.words().replace(' ', '-'));
        }
        return List.copyOf(names);
    }

    /**
     * Reads one sample; every mistake is told with the field that it is in.
     *
     * @param gases by name of the gas.
     * @param told field and what is wrong with it, with what to write instead.
     */
    public static Optional<GasSample> read(
            @Nullable String laboratory,
            @Nullable String sampledAt,
            Map<String, String> gases,
            BiConsumer<String, String> told) {
        boolean[] wrong = {false};
        BiConsumer<String, String> mistake = (field, what) -> {
            wrong[0] = true;
            told.accept(field, what);
        };
        String name = laboratory == null ? "" : laboratory.strip();
        if (name.isEmpty() || name.length() > LONGEST_NAME) {
            mistake.accept("laboratory", "`laboratory` is the laboratory's name, 1 to " + LONGEST_NAME + " characters");
        }
        Instant at = time(sampledAt == null ? "" : sampledAt.strip());
        if (at == null) {
            mistake.accept(
                    "sampledAt",
                    "the time of sampling is a day such as 2026-11-20, or with its zone 2026-11-20T09:30:00Z");
        }
        List<GasReading> readings = readings(gases, mistake);
        if (readings.isEmpty() && !wrong[0]) {
            mistake.accept("gases", "no gas is given; write at least one of " + String.join(", ", GASES));
        }
        if (wrong[0] || at == null) {
            return Optional.empty();
        }
        SampleSource source = new SampleSource(name, SampleSource.Origin.LABORATORY, SensorKind.SEPARATE_GASES);
        Finding<GasSample> sample = GasSample.of(at, source, readings);
        if (sample instanceof Finding.Told<GasSample> ok) {
            ok.value()
                    .leftOut()
                    .forEach((gas, why) ->
                            mistake.accept(gas.words().replace(' ', '-'), gas.words() + ": " + why.sentence()));
            return wrong[0] ? Optional.empty() : Optional.of(ok.value());
        }
        Finding.Untold<GasSample> untold = (Finding.Untold<GasSample>) sample;
        mistake.accept("gases", untold.why().sentence() + ": " + untold.detail());
        return Optional.empty();
    }

    private static @Nullable Instant time(String text) {
        try {
            return LocalDate.parse(text).atStartOfDay().toInstant(ZoneOffset.UTC);
        } catch (DateTimeParseException noDay) {
            try {
                return OffsetDateTime.parse(text).toInstant();
            } catch (DateTimeParseException noTime) {
                return null;
            }
        }
    }

    private static List<GasReading> readings(Map<String, String> gases, BiConsumer<String, String> mistake) {
        Map<Gas, GasReading> readings = new LinkedHashMap<>();
        gases.forEach((name, written) -> {
            int known = GASES.indexOf(name);
            if (known < 0) {
                mistake.accept(
                        name,
                        "there is no gas `" + name + "`; "
                                + Suggestion.closest(name, GASES)
                                        .map(near -> "did you mean " + near + "?")
                                        .orElse("write one of " + String.join(", ", GASES)));
                return;
            }
            String text = written.strip();
            if (text.isEmpty()) {
                return;
            }
            Gas gas = Gas.values()[known];
            char first = text.charAt(0);
            Double value =
                    number(first == '<' || first == '>' ? text.substring(1).strip() : text);
            if (value == null || value < 0) {
                mistake.accept(
                        name,
                        "`" + text + "` is no content of " + gas.words()
                                + "; write ppm as 12.5, or <1 for below detection, or >2000 for beyond the range");
                return;
            }
            GasReading.Flag flag = GasReading.Flag.VALUE;
            if (first == '<') {
                flag = GasReading.Flag.BELOW_DETECTION;
            } else if (first == '>') {
                flag = GasReading.Flag.SATURATED;
            }
            readings.put(gas, new GasReading(gas, value, GasUnit.MICROLITRE_PER_LITRE, flag));
        });
        return List.copyOf(readings.values());
    }

    private static @Nullable Double number(String text) {
        // Neither hexadecimal nor NaN, and no comma that may be a decimal point or a separator.
        return text.matches("[0-9]{1,7}(\\.[0-9]{1,6})?") ? Double.valueOf(text) : null;
    }
}
