/**
 * One alarm's life: the state machine of IEC 62682 / ISA-18.2.
 *
 * <p>Independent memories are the truth and the state's name is derived from them. Every change goes
 * through {@link oilbird.alarm.state.AlarmMachine#step}; time is in the input.
 */
@NullMarked
package oilbird.alarm.state;

import org.jspecify.annotations.NullMarked;
