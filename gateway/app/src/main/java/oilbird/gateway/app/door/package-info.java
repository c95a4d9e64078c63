/** The door of pages and REST: who asks, and whether the one table lets them. */
@NullMarked
package oilbird.gateway.app.door;

import org.jspecify.annotations.NullMarked;
