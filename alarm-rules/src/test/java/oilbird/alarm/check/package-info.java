@NullMarked
package oilbird.alarm.check;

import org.jspecify.annotations.NullMarked;
