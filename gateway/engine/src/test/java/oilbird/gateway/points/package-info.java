@NullMarked
package oilbird.gateway.points;

import org.jspecify.annotations.NullMarked;
