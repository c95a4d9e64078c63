/** Where values live on the wire, and which requests fetch them. */
@NullMarked
package oilbird.mapping.address;

import org.jspecify.annotations.NullMarked;
