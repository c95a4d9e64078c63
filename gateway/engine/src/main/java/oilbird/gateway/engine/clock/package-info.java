/** The gateway's one source of time: monotonic for delays, wall for people, and how far the wall can be trusted. */
@NullMarked
package oilbird.gateway.engine.clock;

import org.jspecify.annotations.NullMarked;
