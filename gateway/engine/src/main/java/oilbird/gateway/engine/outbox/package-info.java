/** The way from the event record to control-room systems: one cursor, one window and one thread a link. */
@NullMarked
package oilbird.gateway.engine.outbox;

import org.jspecify.annotations.NullMarked;
