/** The event record on disk: events, alarm memories and link cursors, in durable transactions. */
@NullMarked
package oilbird.gateway.engine.record;

import org.jspecify.annotations.NullMarked;
