/** The gateway's own certificate and the certificates that it trusts, and the command to look after them. */
@NullMarked
package oilbird.gateway.opcua.trust;

import org.jspecify.annotations.NullMarked;
