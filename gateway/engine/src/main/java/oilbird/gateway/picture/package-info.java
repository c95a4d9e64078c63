/**
 * Pictures of what is computed of a transformer, as SVG: our own drawing style, readable in grey and on paper, with a
 * title and a description in words.
 */
@NullMarked
package oilbird.gateway.picture;

import org.jspecify.annotations.NullMarked;
