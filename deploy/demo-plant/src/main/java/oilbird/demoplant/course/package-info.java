/**
 * What happens in the plant, as functions of time: injected faults, weather, load, and the transformers with their oil,
 * gases and taps. Nothing here moves by itself: the same seed, faults and time give the same values, in any order.
 */
@NullMarked
package oilbird.demoplant.course;

import org.jspecify.annotations.NullMarked;
