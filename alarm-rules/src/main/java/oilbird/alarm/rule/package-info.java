/**
 * What deserves an alarm: rule files, the rules they hold, and rules bound to a station's devices.
 *
 * <p>{@link oilbird.alarm.rule.RuleReader} checks one file by itself;
 * {@link oilbird.alarm.rule.RuleBinder} checks it against the station.
 */
@NullMarked
package oilbird.alarm.rule;

import org.jspecify.annotations.NullMarked;
