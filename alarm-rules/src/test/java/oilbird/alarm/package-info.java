/** What the tests of several packages share: an invented station and a bench that feeds it. */
@NullMarked
package oilbird.alarm;

import org.jspecify.annotations.NullMarked;
