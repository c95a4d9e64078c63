@NullMarked
package oilbird.gateway.app;

import org.jspecify.annotations.NullMarked;
