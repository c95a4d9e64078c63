@NullMarked
package oilbird.demoplant;

import org.jspecify.annotations.NullMarked;
