/** Makes a first device map from the point list that a maker gives. */
@NullMarked
package oilbird.mapping.draft;

import org.jspecify.annotations.NullMarked;
