/** What one type of monitor says on the wire, as a file describes it. */
@NullMarked
package oilbird.mapping.map;

import org.jspecify.annotations.NullMarked;
