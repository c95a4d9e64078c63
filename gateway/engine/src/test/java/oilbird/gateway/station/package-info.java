@NullMarked
package oilbird.gateway.station;

import org.jspecify.annotations.NullMarked;
