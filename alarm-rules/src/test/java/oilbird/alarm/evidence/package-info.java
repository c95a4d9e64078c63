@NullMarked
package oilbird.alarm.evidence;

import org.jspecify.annotations.NullMarked;
