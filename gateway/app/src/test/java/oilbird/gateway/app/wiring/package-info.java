@NullMarked
package oilbird.gateway.app.wiring;

import org.jspecify.annotations.NullMarked;
