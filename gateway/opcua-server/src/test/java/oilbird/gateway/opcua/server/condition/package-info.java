/** Conditions of the real server, watched and acted on by the library's real client over TCP. */
@NullMarked
package oilbird.gateway.opcua.server.condition;

import org.jspecify.annotations.NullMarked;
