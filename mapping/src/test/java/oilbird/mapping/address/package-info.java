@NullMarked
package oilbird.mapping.address;

import org.jspecify.annotations.NullMarked;
