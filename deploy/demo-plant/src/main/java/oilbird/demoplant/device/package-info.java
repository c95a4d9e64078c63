/** The invented monitors: what they measure, what they set in their status words, and how they code it. */
@NullMarked
package oilbird.demoplant.device;

import org.jspecify.annotations.NullMarked;
