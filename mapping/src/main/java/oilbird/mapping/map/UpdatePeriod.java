package oilbird.mapping.map;

import java.time.Duration;
import org.jspecify.annotations.Nullable;

/**
 * How often the device itself makes a new value, which decides when an old one is stale.
 *
 * @param every the device's own period; longer than the poll period as a rule.
 * @param counter name of the point that changes with each new value, where the device has one: a value
 *     is then as old as the last change of the counter, however often it is read.
 * @param staleAfter age at which the value is stale.
 */
public record UpdatePeriod(Duration every, @Nullable String counter, Duration staleAfter) {}
