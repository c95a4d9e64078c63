/** Rules on the shape of the pure modules. */
@NullMarked
package oilbird.alarm;

import org.jspecify.annotations.NullMarked;
