/** Rules on the shape of the module. */
@NullMarked
package oilbird.mapping;

import org.jspecify.annotations.NullMarked;
