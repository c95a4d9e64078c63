/** Who the clients are, what they may do, and how much of the server they may take. */
@NullMarked
package oilbird.gateway.opcua.server.session;

import org.jspecify.annotations.NullMarked;
