/**
 * Conditions composed of several signals, in the Common Expression Language (CEL, an open specification). The
 * only package that knows the CEL library.
 *
 * <p>What may be written is a part of CEL: names of signals, numbers with a decimal point, {@code true} and
 * {@code false}, {@code && || !}, comparisons, {@code + - *} and {@code ? :}. So an expression always ends,
 * reads no clock and gives the same on every Java. Division is left out because 0 / 0 would be a number that
 * compares as false; {@code a > 2.0 * b} says the same as {@code a / b > 2.0} for positive {@code b}.
 *
 * <p>A name is spelt with underscores for hyphens, and a device or map before it with a dot:
 * {@code oil_flow}, {@code hbg_8.oil_flow}.
 */
@NullMarked
package oilbird.alarm.composite;

import org.jspecify.annotations.NullMarked;
