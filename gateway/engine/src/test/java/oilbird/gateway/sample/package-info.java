@NullMarked
package oilbird.gateway.sample;

import org.jspecify.annotations.NullMarked;
