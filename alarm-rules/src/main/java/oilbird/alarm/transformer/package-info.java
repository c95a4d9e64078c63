/**
 * What is known about one transformer, and the shape of everything that is computed about it: a finding
 * that is told with its remarks, or the named reason why it cannot be told.
 *
 * <p>Pure: no clock, no I/O. Times of samples are wall times, because a trend outlives the process whose
 * monotonic clock a {@code Moment} carries. Confidence tags in the documentation: A two or more
 * independent copies of the source agree, B one copy, M from memory, DISPUTED copies differ.
 */
@NullMarked
package oilbird.alarm.transformer;

import org.jspecify.annotations.NullMarked;
