/** The webhook link: every event to a web server, as a signed CloudEvent. */
@NullMarked
package oilbird.gateway.webhook;

import org.jspecify.annotations.NullMarked;
