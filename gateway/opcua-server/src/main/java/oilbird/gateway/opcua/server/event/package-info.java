/** What is between the server and whoever raises events: watches of clients, calls of methods. */
@NullMarked
package oilbird.gateway.opcua.server.event;

import org.jspecify.annotations.NullMarked;
