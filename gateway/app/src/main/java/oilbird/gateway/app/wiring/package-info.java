/** Puts the station, the engine, the poller and the links together. */
@NullMarked
package oilbird.gateway.app.wiring;

import org.jspecify.annotations.NullMarked;
