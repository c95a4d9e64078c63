/** What the commands that look at one device have in common, whatever it speaks. */
@NullMarked
package oilbird.gateway.command.inspect;

import org.jspecify.annotations.NullMarked;
