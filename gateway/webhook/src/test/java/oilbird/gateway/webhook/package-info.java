/** The webhook link before real web servers. */
@NullMarked
package oilbird.gateway.webhook;

import org.jspecify.annotations.NullMarked;
