@NullMarked
package oilbird.mapping.text;

import org.jspecify.annotations.NullMarked;
