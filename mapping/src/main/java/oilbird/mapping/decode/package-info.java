/** Turns the cells or node values of one answered request into readings, indications and status words. */
@NullMarked
package oilbird.mapping.decode;

import org.jspecify.annotations.NullMarked;
