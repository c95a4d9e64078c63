package oilbird.mapping.map;

import java.time.LocalDate;

/**
 * Somebody compared what the gateway shows with the device's local display.
 *
 * @param by who, as they wish to be named.
 * @param on the day.
 */
public record Verification(String by, LocalDate on) {}
