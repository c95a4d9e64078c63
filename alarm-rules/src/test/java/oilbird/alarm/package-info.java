/** Rules on the shape of the pure modules, and an invented station that the tests of several packages share. */
@NullMarked
package oilbird.alarm;

import org.jspecify.annotations.NullMarked;
