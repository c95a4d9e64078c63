@NullMarked
package oilbird.mapping.check;

import org.jspecify.annotations.NullMarked;
