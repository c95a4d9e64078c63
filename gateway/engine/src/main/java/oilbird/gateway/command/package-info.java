/** What the command line does without starting the gateway. */
@NullMarked
package oilbird.gateway.command;

import org.jspecify.annotations.NullMarked;
