/** The whole chain on a fake clock, a fake network and a fake disk; one seed is one run. */
@NullMarked
package oilbird.gateway.engine.simulation;

import org.jspecify.annotations.NullMarked;
