/** The running application from a client's side. */
@NullMarked
package oilbird.gateway.app;

import org.jspecify.annotations.NullMarked;
