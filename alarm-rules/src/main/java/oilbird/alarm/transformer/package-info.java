/**
 * What is known about one transformer, and the shape of everything that is computed about it: a finding
 * that is told with its remarks, or the named reason why it cannot be told.
 *
 * <p>The way of a sample: {@code GasSample.of} checks it; {@code GasMethods.all} gives every single method,
 * {@code GasIndices} the quotients beside them, {@code GuideStatus2019.of} and {@code Conditions2008.of} the levels,
 * {@code CombinedVerdict.of} the verdict with its error; {@code GasSeries.of} makes samples a trend for {@code
 * Movement}, {@code DailyRate}, {@code MultiPointRate} and {@code StepChange}. Beside it {@code WaterInOil} and {@code
 * OilCondition}, and {@code ThermalHistory.of} with {@code CoolingCheck.of}.
 *
 * <p>Pure: no clock, no I/O. Times of samples are wall times, because a trend outlives the process whose
 * monotonic clock a {@code Moment} carries. Confidence tags in the documentation: A two or more
 * independent copies of the source agree, B one copy, M from memory, DISPUTED copies differ.
 */
@NullMarked
package oilbird.alarm.transformer;

import org.jspecify.annotations.NullMarked;
