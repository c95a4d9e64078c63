@NullMarked
package oilbird.gateway.picture;

import org.jspecify.annotations.NullMarked;
