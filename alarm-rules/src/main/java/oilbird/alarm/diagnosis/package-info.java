/**
 * The likely cause behind what is indicated: exact inference on a two-level noisy-OR network.
 *
 * <p>It annotates; it never hides.
 */
@NullMarked
package oilbird.alarm.diagnosis;

import org.jspecify.annotations.NullMarked;
