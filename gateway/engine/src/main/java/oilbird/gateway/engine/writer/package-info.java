/** The one thread that owns the station's state: takes inputs, folds, commits, then tells. */
@NullMarked
package oilbird.gateway.engine.writer;

import org.jspecify.annotations.NullMarked;
