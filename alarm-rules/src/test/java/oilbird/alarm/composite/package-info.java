@NullMarked
package oilbird.alarm.composite;

import org.jspecify.annotations.NullMarked;
