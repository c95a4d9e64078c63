@NullMarked
package oilbird.gateway;

import org.jspecify.annotations.NullMarked;
