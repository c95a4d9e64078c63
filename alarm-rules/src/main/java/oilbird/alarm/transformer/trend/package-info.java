/** How fast a gas rises, told apart from a monitor's noise, from steps, and from the guide's multi-point rate. */
@NullMarked
package oilbird.alarm.transformer.trend;

import org.jspecify.annotations.NullMarked;
