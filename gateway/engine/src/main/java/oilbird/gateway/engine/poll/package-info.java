/** What the pollers of all protocols share. */
@NullMarked
package oilbird.gateway.engine.poll;

import org.jspecify.annotations.NullMarked;
