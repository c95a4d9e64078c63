package oilbird.gateway.contract;

import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * A laboratory's oil sample as a person enters it.
 *
 * @param by the person behind a program with a token; nobody who is signed in sends it.
 * @param sampledAt a day, or a time with its zone, by ISO 8601.
 * @param reference the laboratory's report number or the like.
 * @param gases ppm by name of the gas, as {@code 12.5}, {@code <1} or {@code >2000}.
 */
public record SampleForm(
        @Nullable String by,
        @Nullable String laboratory,
        @Nullable String sampledAt,
        @Nullable String reference,
        @Nullable Map<String, String> gases) {}
