/** Tests of the alarm state machine against its table, a naive twin and invariants. */
@NullMarked
package oilbird.alarm.state;

import org.jspecify.annotations.NullMarked;
