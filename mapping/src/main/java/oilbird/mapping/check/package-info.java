/** Reads first checks, the one kind that device maps, rule files and fault models share, and refuses those that endanger. */
@NullMarked
package oilbird.mapping.check;

import org.jspecify.annotations.NullMarked;
