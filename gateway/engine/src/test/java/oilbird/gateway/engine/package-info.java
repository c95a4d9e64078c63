@NullMarked
package oilbird.gateway.engine;

import org.jspecify.annotations.NullMarked;
