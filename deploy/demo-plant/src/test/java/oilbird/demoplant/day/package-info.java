@NullMarked
package oilbird.demoplant.day;

import org.jspecify.annotations.NullMarked;
