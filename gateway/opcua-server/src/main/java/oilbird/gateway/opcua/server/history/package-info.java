/** The history of events: what a client reads that was away for longer than its subscription waits. */
@NullMarked
package oilbird.gateway.opcua.server.history;

import org.jspecify.annotations.NullMarked;
