@NullMarked
package oilbird.mapping.decode;

import org.jspecify.annotations.NullMarked;
