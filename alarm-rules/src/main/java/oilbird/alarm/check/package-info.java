/**
 * Which first check comes next, what a measured value says, and guided fault-finding as a pure fold: state and input in,
 * state and event out.
 */
@NullMarked
package oilbird.alarm.check;

import org.jspecify.annotations.NullMarked;
