/** The gateway as a process: starts polling first, then the pages and links, and ends in order. */
@NullMarked
package oilbird.gateway.app;

import org.jspecify.annotations.NullMarked;
