/** Reads the text of YAML files once, with the position of everything, and collects every mistake. */
@NullMarked
package oilbird.mapping.text;

import org.jspecify.annotations.NullMarked;
