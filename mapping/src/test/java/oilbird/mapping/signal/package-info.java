@NullMarked
package oilbird.mapping.signal;

import org.jspecify.annotations.NullMarked;
