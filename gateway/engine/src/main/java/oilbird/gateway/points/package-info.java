/**
 * The control room's point list: which points are served over a link, under which addresses, and what each of them
 * says at a moment. Every link takes its points from here, so that all of them say the same.
 */
@NullMarked
package oilbird.gateway.points;

import org.jspecify.annotations.NullMarked;
