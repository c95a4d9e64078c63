/** Measures what the design promises; each class has a main method and prints its figures. */
@NullMarked
package oilbird.benchmarks;

import org.jspecify.annotations.NullMarked;
