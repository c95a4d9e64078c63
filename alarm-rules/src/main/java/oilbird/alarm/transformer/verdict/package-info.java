/** One verdict from all methods that apply, with the measurement error carried through and every single answer beside it. */
@NullMarked
package oilbird.alarm.transformer.verdict;

import org.jspecify.annotations.NullMarked;
