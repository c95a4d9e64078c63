/**
 * Evidence that no bit of a device tells: indications made from readings as a device map or a station file declares
 * it. Pure, deterministic, a bounded memory for each feature.
 */
@NullMarked
package oilbird.alarm.evidence;

import org.jspecify.annotations.NullMarked;
