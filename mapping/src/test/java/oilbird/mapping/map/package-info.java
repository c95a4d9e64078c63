@NullMarked
package oilbird.mapping.map;

import org.jspecify.annotations.NullMarked;
