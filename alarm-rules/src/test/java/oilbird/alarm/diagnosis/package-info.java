@NullMarked
package oilbird.alarm.diagnosis;

import org.jspecify.annotations.NullMarked;
