/** The live channel: one event stream for pages and programs, with resume. */
@NullMarked
package oilbird.gateway.app.live;

import org.jspecify.annotations.NullMarked;
