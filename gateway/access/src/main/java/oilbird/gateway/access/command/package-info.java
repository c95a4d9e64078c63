/** The commands about users, tokens and the certificate; they work while the gateway runs and while it does not. */
@NullMarked
package oilbird.gateway.access.command;

import org.jspecify.annotations.NullMarked;
