/** Makes plain sentences of stored facts, at the moment they are read. */
@NullMarked
package oilbird.alarm.explain;

import org.jspecify.annotations.NullMarked;
