/** Drives the packaged gateway from outside, against independent servers and a real broker. */
@NullMarked
package oilbird.acceptance;

import org.jspecify.annotations.NullMarked;
